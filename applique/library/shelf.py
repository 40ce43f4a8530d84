"""A library's file, read: which templates it holds, and what in it is somebody else's.

A library is an SVG of symbols. What we don't understand in it is told and never written anew.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from lxml import etree

from applique.errors import InputError
from applique.library.symbols import Entry, entry_of
from applique.report import Finding, counted, note, warning
from applique.svg import vocabulary as v
from applique.svg.document import newer_version
from applique.svg.newdoc import new_document

_PAGE_MM = (210, 297)
"""A library draws nothing on its page; it has the size of a sheet of paper (ISO 216, A4)."""


@dataclass(frozen=True, eq=False)
class Library:
    """A library as read. `entries` are all versions of all templates, in the file's order."""

    root: etree._Element
    entries: tuple[Entry, ...]
    findings: tuple[Finding, ...]

    @property
    def title(self) -> str:
        """The set's name, as the Symbols dialog shows it."""
        found = self.root.find(v.svg("title"))
        return "" if found is None else (found.text or "")

    def newest(self) -> Mapping[str, Entry]:
        """The newest version of every template by its name, in the file's order."""
        found: dict[str, Entry] = {}
        for entry in self.entries:
            known = found.get(entry.name)
            if known is None or entry.version > known.version:
                found[entry.name] = entry
        return found

    def versions_of(self, name: str) -> tuple[Entry, ...]:
        """All versions of a template, the oldest first."""
        return tuple(
            sorted(
                (entry for entry in self.entries if entry.name == name),
                key=lambda entry: entry.version,
            )
        )

    def named(self, word: str, version: int | None = None) -> Entry:
        """The template that a word means: its whole name, or its number if only one set has that;
        the newest version unless one is given. Raises InputError if there is none, or several."""
        newest = self.newest()
        names = [word] if word in newest else [n for n, e in newest.items() if e.number == word]
        names = names or [n for n, e in newest.items() if {word, e.set_name + word} & set(e.once)]
        if not names:
            raise InputError(
                f"{word}: the library has no such template; 'applique library list' shows all"
            )
        if len(names) > 1:
            raise InputError(f"{word}: this could be {' or '.join(names)}; write the whole name")
        if version is None:
            return newest[names[0]]
        for entry in self.versions_of(names[0]):
            if entry.version == version:
                return entry
        raise InputError(
            f"{names[0]}: the library has no version {version} of it; see 'applique library show'"
        )


MOST_SYMBOLS = 5_000
"""In one library. Its commands take a second or two for 2,000, and memory for each."""


def new_library(title: str) -> Library:
    """An empty library."""
    root = new_document(*_PAGE_MM)
    root.set(v.ROOT_LIBRARY, v.LIBRARY_VERSION)
    root.text = "\n  "
    heading = etree.SubElement(root, v.svg("title"))
    heading.text, heading.tail = title, "\n  "
    defs = etree.SubElement(root, v.svg("defs"))
    defs.set("id", "templates")
    defs.tail = "\n"
    return Library(root, (), ())


def read_library(root: etree._Element) -> Library:
    """Read a library, as far as it can be read; what can't be is among its findings. Raises
    InputError if the document is a block or holds no symbols at all."""
    if _is_block(root):
        raise InputError("this is a block, not a library of templates; name the library's file")
    symbols = list(root.iter(v.svg("symbol")))
    if not symbols and root.get(v.ROOT_LIBRARY) is None:
        raise InputError("this is no library: it holds no symbols; see 'applique library add'")
    if len(symbols) > MOST_SYMBOLS:
        raise InputError(
            f"the library has {len(symbols)} symbols; put {MOST_SYMBOLS} at most into one file"
        )
    findings = [*_newer(root), *_doubled_ids(symbols)]
    entries = []
    for symbol in symbols:
        try:
            entry = entry_of(symbol)
        except InputError as problem:
            findings.append(warning("symbol", str(symbol.get("id", "")), str(problem)))
            continue
        if not _draws(symbol):
            text = "draws no shape, so it is no template; it was left alone"
            findings.append(note("foreign", entry.name, text))
            continue
        if symbol.get("viewBox") is not None and None in map(symbol.get, ("width", "height")):
            text = "has a viewBox but no width and height, so nobody knows its size; give it both"
            findings.append(warning("no-size", entry.name, text))
            continue
        entries.append(entry)
        findings.extend(_lacking(entry))
    findings.extend(_untagged(entries))
    return Library(root, tuple(_once(entries, findings)), tuple(findings))


def _is_block(root: etree._Element) -> bool:
    """Whether a document is framed as a block, has layers, or shows pieces on its page."""
    if root.get(v.ROOT_FINISHED) is not None or any(child.get(v.ROLE) for child in root):
        return True
    pieces = (element for element in root.iter("*") if element.get(v.PIECE) is not None)
    symbol = v.svg("symbol")
    return any(next(piece.iterancestors(symbol), None) is None for piece in pieces)


def _draws(symbol: etree._Element) -> bool:
    """Whether a symbol holds a shape, or a clone of one, that is seen."""
    return any(
        element.tag in (*v.SHAPES, v.svg("use"))
        and not any(around.tag in _UNSEEN for around in element.iterancestors())
        for element in symbol.iter("*")
    )


_UNSEEN = v.NEVER_DRAWN - {v.svg("symbol"), v.svg("defs")}


def _newer(root: etree._Element) -> Iterable[Finding]:
    yield from newer_version(root)
    version = str(root.get(v.ROOT_LIBRARY, v.LIBRARY_VERSION))
    if version != v.LIBRARY_VERSION:
        text = (
            f"the library has ap:library {version}, of which this program knows "
            f"{v.LIBRARY_VERSION} only; what it does not know it leaves alone"
        )
        yield warning("version", "", text)


def _doubled_ids(symbols: Iterable[etree._Element]) -> Iterable[Finding]:
    counts = Counter(str(symbol.get("id", "")) for symbol in symbols)
    for name, count in counts.items():
        if count > 1 and name:
            text = f"{count} symbols have this id, and an editor shows the first for all of them"
            yield warning("doubled-id", name, f"{text}; give the others ids of their own")


def _lacking(entry: Entry) -> Iterable[Finding]:
    if entry.element.find(v.svg("title")) is None:
        text = "has no title, so the editor's Symbols dialog can't name it; give it one"
        yield warning("no-title", entry.name, text)


def _untagged(entries: Iterable[Entry]) -> Iterable[Finding]:
    names = [entry.name for entry in entries if not entry.is_tagged]
    if names:
        few = ", ".join(names[:_FEW]) + (" ..." if len(names) > _FEW else "")
        made = counted(len(names), "symbol was", "symbols were")
        text = f"{made} not made by 'library add' and are taken by their titles or ids: {few}"
        yield note("untagged", "", text)


_FEW = 5


def _once(entries: Iterable[Entry], findings: list[Finding]) -> Iterable[Entry]:
    """The entries without those that claim a name and version that another has already."""
    seen = set()
    for entry in entries:
        key = (entry.name, entry.version)
        if key in seen:
            text = f"version {entry.version} of it is there twice; the first one counts"
            findings.append(warning("doubled", entry.name, text))
            continue
        seen.add(key)
        yield entry
