"""A block's layout as text: which template lies where, of which fabric. The order is the stacking.

block = "Harbour evening"
finished = "254x254"
library = "harbour.svg"

[[piece]]
piece = "17"
fabric = "sea blue"
x = 120
y = 80
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from applique.errors import InputError
from applique.library.layout_values import Reader
from applique.model import Fabric
from applique.report import Finding, error
from applique.settings import SPECS
from applique.svg.document import SEAM_ALLOWANCE_MM, WIDEST_SEAM_ALLOWANCE_MM
from applique.tomltext import read_toml
from applique.units import FURTHEST_MM

_BLOCK_WORDS = frozenset(
    {"block", "finished", "seam-allowance", "background", "library", "fabrics", "defaults", "piece"}
)
_ROW_WORDS = frozenset(
    {"piece", "version", "label", "fabric", "thread", "x", "y", "turn", "mirror", "scale"}
)

_ROW = re.compile(r"^\s*\[\[\s*piece\s*\]\]", re.MULTILINE)

_LARGEST_SCALE = 20.0


@dataclass(frozen=True)
class Row:
    """One piece of a layout: the template that `piece` names, its middle at `x_mm`, `y_mm` from the
    finished block's upper left corner. `line` is where the layout says so, 0 if that is not known.
    """

    piece: str
    version: int | None
    label: str
    fabric: str
    thread: str
    x_mm: float
    y_mm: float
    turn_degrees: float
    mirrored: bool
    scale: float
    settings: Mapping[str, float | str]
    line: int

    @property
    def called(self) -> str:
        """How a finding calls it."""
        return f"{self.piece} (line {self.line})" if self.line else self.piece


@dataclass(frozen=True)
class Layout:
    """A block as laid out; `libraries` are the names of its libraries' files."""

    block: str
    finished_mm: tuple[float, float]
    seam_allowance_mm: float
    background: str
    libraries: tuple[str, ...]
    fabrics: tuple[Fabric, ...]
    defaults: Mapping[str, float | str]
    rows: tuple[Row, ...]


def read_layout(text: str) -> Layout:
    """Read a layout. Raises InputError with everything that is wrong in it."""
    data = read_toml(text, "the layout")
    findings: list[Finding] = []
    lines = [text.count("\n", 0, found.start()) + 1 for found in _ROW.finditer(text)]
    layout = _layout(data, lines, findings)
    if findings:
        raise InputError("the layout can't be used", findings)
    return layout


def _layout(data: dict[str, Any], lines: list[int], findings: list[Finding]) -> Layout:
    reader = Reader(data, "layout", findings)
    reader.only(_BLOCK_WORDS)
    rows = data.get("piece", [])
    if not isinstance(rows, list) or not rows or not all(isinstance(row, dict) for row in rows):
        text = "names no pieces; add a [[piece]], in double brackets, for each"
        findings.append(error("layout", "layout", text))
        rows = []
    if len(lines) != len(rows):  # Written in another of the ways that TOML allows.
        lines = [0] * len(rows)
    findings.extend(_labels_twice(rows, lines))
    return Layout(
        block=reader.text("block"),
        finished_mm=reader.size("finished"),
        seam_allowance_mm=reader.number(
            "seam-allowance", SEAM_ALLOWANCE_MM, 0, WIDEST_SEAM_ALLOWANCE_MM
        ),
        background=reader.text("background"),
        libraries=reader.names("library"),
        fabrics=reader.fabrics("fabrics"),
        defaults=reader.table("defaults").settings("document"),
        rows=tuple(_row(row, line, findings) for row, line in zip(rows, lines, strict=True)),
    )


def _labels_twice(rows: list[dict[str, Any]], lines: list[int]) -> list[Finding]:
    """Labels are given to one piece each."""
    first: dict[str, int] = {}
    findings = []
    for row, line in zip(rows, lines, strict=True):
        label = str(row.get("label", "")).strip()
        if label and first.setdefault(label, line) != line:
            text = f"the label is given in line {first[label]} already; give this piece another"
            findings.append(error("layout", f"{label} (line {line})", text))
    return findings


def _row(data: dict[str, Any], line: int, findings: list[Finding]) -> Row:
    name = str(data.get("piece", "a piece without a name"))
    reader = Reader(data, f"{name} (line {line})" if line else name, findings)
    reader.only(_ROW_WORDS | set(SPECS))
    own = {word: value for word, value in data.items() if word not in _ROW_WORDS}
    version = reader.whole("version", 0, 10_000)
    return Row(
        piece=reader.word("piece"),
        version=version or None,
        label=reader.word("label", ""),
        fabric=reader.text("fabric", needed=True),
        thread=reader.colour("thread"),
        x_mm=reader.number("x", None, -FURTHEST_MM, FURTHEST_MM),
        y_mm=reader.number("y", None, -FURTHEST_MM, FURTHEST_MM),
        turn_degrees=reader.number("turn", 0.0, -360, 360),
        mirrored=reader.yes("mirror"),
        scale=reader.number("scale", 1.0, 1 / _LARGEST_SCALE, _LARGEST_SCALE),
        settings=Reader(own, reader.object, findings).settings("piece"),
        line=line,
    )
