"""The quilt's top: where each block, strip and square of it lies, at finished size.

Blocks stand in rows and columns. Sashing lies between them, not around; where it has no
cornerstones the strips between rows run through. Borders are straight: the sides first, then top
and bottom across them (common practice; a mitred border is longer by its width at each end).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import accumulate
from typing import Literal

from applique.quilt.facts import SizeMm
from applique.quilt.project import Assembly, Strip
from applique.report import Finding, warning
from applique.units import compact

Kind = Literal["block", "empty", "sashing", "cornerstone", "border"]

_SAME_MM = 0.5
"""Blocks that differ by no more than this are sewn together as they are (from memory)."""


@dataclass(frozen=True)
class TopPart:
    """One part of the top. `name` is the block's, or the fabric of any other part ("" where none is
    chosen); the box lies in mm from the top's upper left corner."""

    kind: Kind
    name: str
    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class QuiltTop:
    """The whole top at finished size, the binding aside; `parts` in rows, borders last."""

    width_mm: float
    height_mm: float
    parts: tuple[TopPart, ...]
    findings: tuple[Finding, ...] = ()

    def of_kind(self, kind: Kind) -> tuple[TopPart, ...]:
        """The parts of a kind."""
        return tuple(part for part in self.parts if part.kind == kind)


def top_of(assembly: Assembly, sizes: Mapping[str, SizeMm]) -> QuiltTop | None:
    """The top that an assembly makes of blocks of finished sizes, None if it has no rows or no size
    is known.

    A column is as wide as its widest block, a row as high as its highest; a block whose size isn't
    known is taken to fill its place, and one that is smaller is told of.
    """
    if not any(name in sizes for row in assembly.rows for name in row):
        return None
    gap = 0.0 if assembly.sashing is None else assembly.sashing.width_mm
    columns, rows = _columns(assembly, sizes), _rows(assembly, sizes)
    lefts, tops = _starts(columns, gap), _starts(rows, gap)
    parts: list[TopPart] = []
    findings = []
    for i, row in enumerate(assembly.rows):
        for j in range(len(columns)):
            name = row[j] if j < len(row) else ""
            place = (lefts[j], tops[i], columns[j], rows[i])
            parts.append(TopPart("block" if name else "empty", name, *place))
            findings += _misfit(name, sizes.get(name), columns[j], rows[i])
    if assembly.sashing is not None:
        cross = assembly.cornerstone
        parts += _sashing(assembly.sashing, cross, (lefts, columns), (tops, rows))
    inner = (lefts[-1] + columns[-1], tops[-1] + rows[-1])
    return _bordered(parts, inner, assembly.borders, findings)


def _columns(assembly: Assembly, sizes: Mapping[str, SizeMm]) -> list[float]:
    """The width of each column; of one in which nothing stands, that of the widest."""
    count = max(len(row) for row in assembly.rows)
    widths = [
        max(
            (sizes[row[j]][0] for row in assembly.rows if j < len(row) and row[j] in sizes),
            default=0.0,
        )
        for j in range(count)
    ]
    return _filled(widths)


def _rows(assembly: Assembly, sizes: Mapping[str, SizeMm]) -> list[float]:
    """The height of each row, in the same way."""
    return _filled(
        [
            max((sizes[name][1] for name in row if name in sizes), default=0.0)
            for row in assembly.rows
        ]
    )


def _filled(sides: list[float]) -> list[float]:
    return [side or max(sides) for side in sides]


def _starts(sides: list[float], gap_mm: float) -> list[float]:
    return [0.0, *accumulate(side + gap_mm for side in sides[:-1])]


def _misfit(name: str, size: SizeMm | None, width: float, height: float) -> list[Finding]:
    if size is None or (width - size[0] <= _SAME_MM and height - size[1] <= _SAME_MM):
        return []
    own, place = (" x ".join(compact(side, 1) for side in it) for it in (size, (width, height)))
    text = (
        f"is {own} mm in a place of {place} mm; sew strips to its sides before it goes into the "
        "quilt, or give it another place"
    )
    return [warning("misfit", name, text)]


def _sashing(
    sashing: Strip,
    cornerstone: str,
    across: tuple[list[float], list[float]],
    down: tuple[list[float], list[float]],
) -> list[TopPart]:
    """The strips between blocks; `across` and `down` are the places and sizes of columns, rows."""
    wide = sashing.width_mm
    (lefts, widths), (tops, heights) = across, down
    upright = [
        TopPart("sashing", sashing.fabric, left - wide, top, wide, height)
        for top, height in zip(tops, heights, strict=True)
        for left in lefts[1:]
    ]
    if not cornerstone:
        whole = lefts[-1] + widths[-1]
        return upright + [
            TopPart("sashing", sashing.fabric, 0.0, top - wide, whole, wide) for top in tops[1:]
        ]
    level = [
        TopPart("sashing", sashing.fabric, left, top - wide, width, wide)
        for top in tops[1:]
        for left, width in zip(lefts, widths, strict=True)
    ]
    squares = [
        TopPart("cornerstone", cornerstone, left - wide, top - wide, wide, wide)
        for top in tops[1:]
        for left in lefts[1:]
    ]
    return upright + level + squares


def _bordered(
    parts: list[TopPart], inner: SizeMm, borders: tuple[Strip, ...], findings: list[Finding]
) -> QuiltTop:
    """The parts with borders round them, the innermost first."""
    inset = sum(border.width_mm for border in borders)
    moved = [
        TopPart(it.kind, it.name, it.left_mm + inset, it.top_mm + inset, it.width_mm, it.height_mm)
        for it in parts
    ]
    width, height = inner
    at = inset
    for border in borders:
        wide = border.width_mm
        at -= wide
        moved += [
            TopPart("border", border.fabric, at, at + wide, wide, height),
            TopPart("border", border.fabric, at + wide + width, at + wide, wide, height),
            TopPart("border", border.fabric, at, at, width + 2 * wide, wide),
            TopPart("border", border.fabric, at, at + wide + height, width + 2 * wide, wide),
        ]
        width, height = width + 2 * wide, height + 2 * wide
    return QuiltTop(width, height, tuple(moved), tuple(findings))
