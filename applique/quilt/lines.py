"""In which line of a TOML text a table, an entry or a key stands.

The standard reader of TOML tells only where it stops; what is wrong with a value it took is told
with the help of this. A text is expected that it has taken: of any other, the lines are a guess.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, field

Path = tuple[str | int, ...]
"""Keys and, within arrays, indexes from 0, from the outside inwards."""

_BLANK = re.compile(r"(?:[\s,]|#[^\n]*)*")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"""(?:"{0,2})'
    r"|'''.*?'''(?:'{0,2})"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SPACE = re.compile(r"[ \t]*")
_BRACKETS = re.compile(r"[ \t]*\]{0,2}")
_DOT = re.compile(r"[ \t]*\.[ \t]*")
_EQUALS = re.compile(r"[ \t]*=[ \t]*")
_PLAIN = re.compile(r"[^,\]}\n#]*")
"""A number, a date, true or false."""


@dataclass(frozen=True)
class Lines:
    """The lines, from 1, of everything in a text."""

    known: Mapping[Path, int] = field(default_factory=dict)

    def of(self, path: Path) -> int:
        """The line in which something begins, or that of the nearest thing around it; 0 if nothing
        of it stands in the text."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.known:
                return self.known[path[:length]]
        return 0


def lines_of(text: str) -> Lines:
    """Where everything in a TOML text stands."""
    scan = _Scan(text)
    scan.document()
    return Lines(scan.known)


class _Scan:
    """One way through a text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.known: dict[Path, int] = {}
        self._entries: dict[Path, int] = {}
        self._ends = [found.start() for found in re.finditer("\n", text)]

    def document(self) -> None:
        """Headers and keys up to the end."""
        table: Path = ()
        self._skip(_BLANK)
        while self.at < len(self.text):
            before = self.at
            if self.text.startswith("[", self.at):
                table = self._header()
            else:
                self._key_and_value(table)
            self._skip(_BLANK)
            if self.at == before:  # No TOML; the standard reader has told so.
                return

    def _header(self) -> Path:
        """A table's header, or that of an entry of an array of tables."""
        start = self.at
        is_entry = self.text.startswith("[[", start)
        self.at += 2 if is_entry else 1
        keys = self._keys()
        self._skip(_BRACKETS)
        path: Path = ()
        for key in keys[:-1]:
            path = self._inside((*path, key))
            self._note(path, start)
        path = (*path, *keys[-1:])
        self._note(path, start)
        if is_entry:
            self._entries[path] = self._entries.get(path, -1) + 1
            path = self._inside(path)
            self._note(path, start)
        return path

    def _inside(self, path: Path) -> Path:
        """A table; of an array of tables, the last entry so far."""
        return (*path, self._entries[path]) if path in self._entries else path

    def _key_and_value(self, table: Path) -> None:
        start = self.at
        keys = self._keys()
        for length in range(1, len(keys) + 1):
            self._note((*table, *keys[:length]), start)
        self._skip(_EQUALS)
        self._value((*table, *keys))

    def _keys(self) -> list[str]:
        """A dotted key as its parts."""
        keys = []
        self._skip(_SPACE)
        while True:
            quoted = self._skip(_STRING)
            keys.append(_unquoted(quoted) if quoted else self._skip(_BARE_KEY))
            if not self._skip(_DOT):
                return keys

    def _value(self, path: Path) -> None:
        if self.text.startswith("[", self.at):
            self._array(path)
        elif self.text.startswith("{", self.at):
            self._inline_table(path)
        elif not self._skip(_STRING):
            self._skip(_PLAIN)

    def _array(self, path: Path) -> None:
        self.at += 1
        index = 0
        self._skip(_BLANK)
        while self.at < len(self.text) and self.text[self.at] != "]":
            before = self.at
            self._note((*path, index), self.at)
            self._value((*path, index))
            self._skip(_BLANK)
            index += 1
            if self.at == before:
                return
        self.at += 1

    def _inline_table(self, path: Path) -> None:
        self.at += 1
        self._skip(_BLANK)
        while self.at < len(self.text) and self.text[self.at] != "}":
            before = self.at
            self._key_and_value(path)
            self._skip(_BLANK)
            if self.at == before:
                return
        self.at += 1

    def _skip(self, pattern: re.Pattern[str]) -> str:
        """Go past what a pattern finds here, and return it."""
        found = pattern.match(self.text, self.at)
        if found is None:
            return ""
        self.at = found.end()
        return found[0]

    def _note(self, path: Path, at: int) -> None:
        self.known.setdefault(path, bisect_left(self._ends, at) + 1)


def _unquoted(key: str) -> str:
    """A key without its quotes; as it stands if it is no TOML."""
    try:
        return next(iter(tomllib.loads(f"{key} = 0")))
    except tomllib.TOMLDecodeError:
        return key
