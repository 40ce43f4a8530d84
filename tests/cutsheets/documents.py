"""Layered documents of straight lines for the tests, and what is cut of them."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import numpy as np

from applique.cutsheets.cutting import cut_lots
from applique.cutsheets.files import files_of
from applique.cutsheets.reading import Lots, read_lots
from applique.cutsheets.result import Cut
from applique.cutting.nested import rectangle
from applique.cutting.request import CutRequest
from applique.geometry.curves import polyline
from applique.model import CutLine
from applique.svg.cutlayer import write_cut_lines
from tests.shapes import drawing

MAT = rectangle("mat", 120.0, 120.0)
REQUEST = CutRequest(sheets=(MAT,))
FABRICS = (
    '<metadata><ap:fabric name="sea blue" colour="#2f6f8f"/>'
    '<ap:fabric name="sand" colour="#d9c58b" turn="half"/></metadata>'
)


def line(piece: str, fabric: str = "sea blue", size: float = 30.0, **given: Any) -> CutLine:
    """A rectangle of so many mm, and 30 mm high."""
    corners = np.array([[10.0, 10.0], [10 + size, 10.0], [10 + size, 40.0], [10.0, 40.0]])
    kind = given.pop("kind", "outline")
    return CutLine(piece, fabric, kind, (polyline(corners, closed=True),), **given)


def crossing(piece: str, fabric: str) -> CutLine:
    """A line that crosses itself."""
    corners = np.array([[0.0, 0.0], [20.0, 20.0], [20.0, 0.0], [0.0, 20.0]])
    return CutLine(piece, fabric, "outline", (polyline(corners, closed=True),))


def document(*lines: CutLine) -> Any:
    root = drawing(FABRICS)
    write_cut_lines(root, lines)
    return root


def whale() -> Any:
    return document(line("1"), line("2", "sand", 20.0, turn="half"), line("17b", size=25.0))


def lots_in(*lines: CutLine, request: CutRequest = REQUEST) -> Lots:
    """What is cut of one document of some lines; of the whale if none are given."""
    return read_lots([("whale", document(*lines) if lines else whale())], request)


def go_on(progress: Any) -> bool:
    return True


def cut(lots: Lots, request: CutRequest = REQUEST, kept: Mapping[str, object] | None = None) -> Cut:
    return cut_lots(lots, request, 1.5, kept or {}, go_on)


def never(*given: Any) -> Any:
    raise AssertionError("searched again")


def kept_of(found: Cut, lots: Lots) -> dict[str, object]:
    """What is kept of a run for the next one, as it is read from its file."""
    kept = json.loads(files_of(found, lots, "cutter", (210.0, 297.0))["nesting.json"])
    assert isinstance(kept, dict)
    return kept
