"""Values of quilt.toml, each read as its key says; what is wrong names its line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, ClassVar, Self

from applique.library.layout_values import Reader, did_you_mean
from applique.papers import paper_size
from applique.quilt.key import Key
from applique.quilt.lines import Lines, Path
from applique.settings import SPECS
from applique.units import length_mm, size_mm, split_length


@dataclass(frozen=True, eq=False)
class TableReader(Reader):
    """One table of quilt.toml, which stands at `path` in it."""

    code: ClassVar[str] = "quilt"
    unknown: ClassVar[str] = "is not known here"

    lines: Lines = field(default_factory=Lines)
    path: Path = ()

    def called(self, word: str) -> str:
        """The table with the line of one of its words, or of its head."""
        line = self.lines.of((*self.path, word) if word else self.path)
        return f"{self.object} (line {line})" if line else self.object

    def inner(self, word: str, data: dict[str, Any]) -> Self:
        """A reader of what stands under a word."""
        return replace(self, data=data, object=word, path=(*self.path, word))

    def entries(self, word: str) -> list[Self]:
        """A reader of each table in the array under a word, called by its name, else its number."""
        rows = self.data.get(word, [])
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            text = f"{word} must be tables; write [[{word}]], in double brackets, for each"
            self.wrong(text, word)
            return []
        found = []
        for index, row in enumerate(rows):
            called = str(row.get("name", "")).strip() or f"{word} {index + 1}"
            path = (*self.path, word, index)
            found.append(replace(self, data=row, object=called, path=path))
        return found

    def values(self, keys: Sequence[Key]) -> dict[str, Any]:
        """What the table says for each of its keys that are no tables, by name; their defaults for
        what it leaves out. It may hold nothing else."""
        self.only(key.name for key in keys)
        for key in keys:
            if key.name in self.data and key.only_with and key.only_with not in self.data:
                text = f"{key.name} means nothing without {key.only_with}; give that too"
                self.wrong(f"{text}, or remove it", key.name)
        return {key.name: self._value(key) for key in keys if key.kind in _READ}

    def _value(self, key: Key) -> Any:
        if key.name in self.data:
            return _READ[key.kind](self, key)
        if key.needed and key.kind == "text":
            return self.text(key.name, needed=True)
        if key.needed:
            self.wrong(f"has no {key.name}; add it")
            return key.low
        if key.default is None:
            return () if key.kind in ("texts", "sizes", "rows") else None
        return paper_size(str(key.default)) if key.kind == "paper" else key.default

    def read_as(self, word: str, text: str, read: Callable[[str], Any]) -> Any:
        """What a text means; None, and a finding, if it means nothing."""
        try:
            return read(text)
        except ValueError as problem:
            self.wrong(f"{word}: {problem}", word)
            return None

    def read_text(self, key: Key) -> str:
        """A text; a needed one may not be empty."""
        return self.text(key.name, key.needed)

    def read_texts(self, key: Key) -> tuple[str, ...]:
        """A list of texts."""
        value = self.data[key.name]
        if isinstance(value, list) and all(isinstance(t, str) and t.isprintable() for t in value):
            return tuple(text.strip() for text in value)
        self.wrong(f'{key.name} must be a list of texts, as in ["...", "..."]', key.name)
        return ()

    def read_rows(self, key: Key) -> tuple[tuple[str, ...], ...]:
        """A list of lists of texts."""
        value = self.data[key.name]
        if isinstance(value, list) and all(_are_texts(row) for row in value):
            return tuple(tuple(name.strip() for name in row) for row in value)
        text = f'{key.name} must be lists of names in a list, as in [["A", "B"], ["C", "D"]]'
        self.wrong(text, key.name)
        return ()

    def read_length(self, key: Key) -> float:
        """A length in mm: a number, or a text with a unit."""
        value = self.data[key.name]
        if not isinstance(value, str):
            return self.number(key.name, None, key.low, key.high)
        found = self.read_as(key.name, value, _length_of)
        if found is None:
            return key.low
        return replace(self, data={key.name: found}).number(key.name, None, key.low, key.high)

    def read_number(self, key: Key) -> float:
        """A number."""
        return self.number(key.name, None, key.low, key.high)

    def read_whole(self, key: Key) -> int:
        """A whole number."""
        return self.whole(key.name, int(key.low), int(key.high))

    def read_yes(self, key: Key) -> bool:
        """true or false."""
        return self.yes(key.name)

    def read_size(self, key: Key) -> tuple[float, float]:
        """A size in mm."""
        value = self.text(key.name)
        return self.read_as(key.name, value, size_mm) or (key.high, key.high)

    def read_choice(self, key: Key) -> str:
        """One of some words."""
        text = self.text(key.name)
        if text not in key.choices:
            known = ", ".join(key.choices)
            self.wrong(f"{key.name} must be one of {known}, not '{text}'", key.name)
            return key.choices[0]
        return text

    def read_colour(self, key: Key) -> str:
        """A colour as #rrggbb."""
        is_given = bool(self.text(key.name, needed=True))
        return (self.colour(key.name) if is_given else "") or "#808080"

    def read_paper(self, key: Key) -> tuple[float, float]:
        """A paper's size in mm."""
        return self.read_as(key.name, self.text(key.name), paper_size) or paper_size("a4")

    def read_file(self, key: Key) -> str:
        """The name of a file in the folder of quilt.toml or below, folders divided by slashes."""
        name = self.text(key.name, needed=True)
        if not name:
            return ""
        if name.rpartition(".")[2].lower() not in key.choices:
            endings = " or ".join(f".{ending}" for ending in key.choices)
            self.wrong(f"{key.name} must end with {endings}, not '{name}'", key.name)
        outside = {"", ".", ".."} & set(name.split("/"))
        if outside or "\\" in name or ":" in name or name.startswith("~"):
            text = (
                f"{key.name} must name a file in the folder of quilt.toml or in one below it, as "
                f"in blocks/gull.svg, not '{name}'"
            )
            self.wrong(text, key.name)
        return name

    def read_needles(self, key: Key) -> int | str:
        """A number of needles, or "single"."""
        return "single" if self.data[key.name] == "single" else self.read_whole(key)

    def read_settings(self, key: Key) -> dict[str, float | str]:
        """Stitch settings that hold for a whole block."""
        inner = self.table(key.name)
        for name in inner.data:
            if name in SPECS and SPECS[name].scope == "element":
                text = f"{name} holds for single shapes only; tag these in the drawing"
                inner.wrong(text, name)
        return inner.settings("document")

    def known(self, word: str, name: str, names: Sequence[str], where: str) -> None:
        """Tell if the name given for a word is none of those that stand in some place."""
        if name and name not in names:
            hint = did_you_mean(name, names, "add it there")
            self.wrong(f"{word} '{name}' is none of {where}{hint}", word)


_READ: dict[str, Callable[[TableReader, Key], Any]] = {
    "text": TableReader.read_text,
    "texts": TableReader.read_texts,
    "sizes": TableReader.read_texts,
    "rows": TableReader.read_rows,
    "length": TableReader.read_length,
    "number": TableReader.read_number,
    "whole": TableReader.read_whole,
    "yes": TableReader.read_yes,
    "size": TableReader.read_size,
    "choice": TableReader.read_choice,
    "colour": TableReader.read_colour,
    "paper": TableReader.read_paper,
    "file": TableReader.read_file,
    "needles": TableReader.read_needles,
    "settings": TableReader.read_settings,
}


def _are_texts(row: object) -> bool:
    return isinstance(row, list) and all(isinstance(text, str) for text in row)


def _length_of(text: str) -> float:
    """A length with a unit; a plain number is mm."""
    number, unit = split_length(text)
    return length_mm(text) if unit else number
