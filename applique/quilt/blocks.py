"""The blocks of quilt.toml, and how they make a quilt."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from applique.names import plain_names
from applique.quilt import keys
from applique.quilt.project import Assembly, BlockEntry, Lining, Strip
from applique.quilt.values import TableReader

_FABRICS = "[fabrics]"

Rows = tuple[tuple[str, ...], ...]


def blocks_of(reader: TableReader, rows: Rows) -> tuple[BlockEntry, ...]:
    """The blocks of the project, made as often as `rows` place them unless told; what is wrong with
    them, and names in the rows that no block has, become findings."""
    entries = reader.entries("block")
    if not reader.data.get("block"):
        reader.wrong("names no blocks; add a [[block]], in double brackets, for each")
    placed = Counter(name for row in rows for name in row)
    blocks = [_block(entry, k, placed) for k, entry in enumerate(entries)]
    _apart(entries, blocks)
    names = [block.name for block in blocks]
    for index, row in enumerate(rows):
        in_row = replace(reader, object=f"row {index + 1}", path=("quilt", "rows", index))
        for name in dict.fromkeys(row):
            in_row.known("block", name, names, "the [[block]] tables")
    return tuple(blocks)


def _block(entry: TableReader, index: int, placed: Counter[str]) -> BlockEntry:
    values = entry.values(keys.BLOCK)
    name = values["name"]
    is_layout = values["layout"] is not None
    if is_layout == (values["file"] is not None):
        text = "has both a file and a layout; remove one" if is_layout else ""
        entry.wrong(text or 'has neither a file nor a layout; write file = "block.svg"')
    copies = max(1, placed[name]) if values["copies"] is None else values["copies"]
    if name and copies < placed[name]:
        text = f"the rows place it {placed[name]} times; make copies = {placed[name]}, or leave it"
        entry.wrong(f"{text} out", "copies")
    return BlockEntry(
        name=name,
        file=values["layout"] or values["file"] or "",
        is_layout=is_layout,
        copies=copies,
        finished_mm=values["finished"],
        seam_allowance_mm=values["seam-allowance"],
        week=values["week"],
        settings=values["settings"] or {},
        line=entry.lines.of(entry.path),
        stem=plain_names([name], f"block-{index + 1}")[0],
    )


def _apart(entries: Sequence[TableReader], blocks: Sequence[BlockEntry]) -> None:
    """Tell of two blocks of one name, or whose files would have one name."""
    named: dict[str, BlockEntry] = {}
    written: dict[str, BlockEntry] = {}
    for entry, block in zip(entries, blocks, strict=True):
        like = named.setdefault(block.name, block)
        beside = written.setdefault(block.stem, block)
        if like is not block and block.name:
            text = f"the block of line {like.line} has this name too; give one of them another"
            entry.wrong(text, "name")
        elif beside is not block:
            text = (
                f"its files would have the names of those of '{beside.name}' (line {beside.line}), "
                f"{block.stem}; give one of them another name"
            )
            entry.wrong(text, "name")


def assembly_of(quilt: TableReader, fabrics: Sequence[str]) -> Assembly:
    """How the blocks make a quilt; a strip of a fabric that is none of `fabrics` becomes a
    finding."""
    values = quilt.values(keys.QUILT)
    quilt.known("cornerstone", values["cornerstone"], fabrics, _FABRICS)
    borders = quilt.entries("borders")
    return Assembly(
        rows=values["rows"],
        sashing=_strip(quilt, "sashing", fabrics),
        cornerstone=values["cornerstone"],
        borders=tuple(_strip_in(border, fabrics) for border in borders),
        binding=_strip(quilt, "binding", fabrics),
        backing=_lining(quilt, "backing"),
        batting=_lining(quilt, "batting"),
        stabiliser_mm=values["stabiliser-width"],
        seam_allowance_mm=values["seam-allowance"],
    )


def _strip(quilt: TableReader, word: str, fabrics: Sequence[str]) -> Strip | None:
    return next((_strip_in(table, fabrics) for table in _given(quilt, word)), None)


def _strip_in(table: TableReader, fabrics: Sequence[str]) -> Strip:
    values = table.values(keys.STRIP)
    table.known("fabric", values["fabric"], fabrics, _FABRICS)
    return Strip(values["width"], values["fabric"])


def _lining(quilt: TableReader, word: str) -> Lining | None:
    for table in _given(quilt, word):
        values: dict[str, Any] = table.values(keys.LINING)
        return Lining(values["width"], values["beyond"], values["name"])
    return None


def _given(quilt: TableReader, word: str) -> Iterator[TableReader]:
    """The table under a word, if there is one."""
    table = quilt.table(word)
    if isinstance(quilt.data.get(word), dict):
        yield table
