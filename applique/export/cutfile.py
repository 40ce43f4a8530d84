"""A cut sheet as an SVG file in millimetres, for a cutting machine or for scissors."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lxml import etree

from applique.cutting.sheet import PlacedCut, Sheet
from applique.geometry.curves import polyline
from applique.geometry.rings import rings_of
from applique.svg import vocabulary as v
from applique.svg.paths import write_path, write_points
from applique.units import compact

_EMPTY = f'<svg xmlns="{v.SVG}" xmlns:ap="{v.AP}"/>'

DIGITS = 4
"""Decimals of a millimetre in the file: 0.0001 mm."""

_CUT_STYLE = "fill:none;stroke:#000000;stroke-width:0.1"
_TEMPLATE_STYLE = "fill:none;stroke:#7a3b00;stroke-width:0.1"
_DRAWING_STYLE = (
    "fill:none;stroke:#0060a8;stroke-width:0.3;stroke-linecap:round;stroke-linejoin:round"
)
_SQUARE_STYLE = "fill:none;stroke:#00803c;stroke-width:0.2"
_SCRAP_STYLE = "fill:none;stroke:#b0b0b0;stroke-width:0.2"


def cut_file(sheet: Sheet) -> bytes:
    """The sheet as SVG: one path a piece with all its rings, in cutting order, and groups of their
    own for templates, the drawing, the test square and a scrap's outline."""
    width, height = (compact(side, DIGITS) for side in sheet.stock.size_mm)
    root = etree.fromstring(_EMPTY)
    root.set("width", f"{width}mm")
    root.set("height", f"{height}mm")
    root.set("viewBox", f"0 0 {width} {height}")
    root.set(v.ROOT_VERSION, v.VERSION)
    root.set(v.SHEET, sheet.name)
    root.set(v.FACE, sheet.face)
    title = etree.SubElement(root, v.svg("title"))
    title.text = f"{sheet.title}, {sheet.face_words}, true size"
    if not sheet.stock.is_rectangle:
        outline = [polyline(ring, closed=True) for ring in rings_of(sheet.stock.shape)]
        _add_group(root, "scrap", _SCRAP_STYLE, [write_path(outline, DIGITS)])
    _add_cuts(root, sheet.cuts)
    drawn = [write_points(line, DIGITS) for line in sheet.drawing]
    _add_group(root, "drawing", _DRAWING_STYLE, drawn)
    _add_group(root, "test-square", _SQUARE_STYLE, [write_path([sheet.test_square], DIGITS)])
    etree.indent(root)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8") + b"\n"


def _add_cuts(root: etree._Element, cuts: Sequence[PlacedCut]) -> None:
    """The pieces, templates in a group of their own; their blocks are told where there are
    several."""
    several = len({cut.piece.block for cut in cuts}) > 1
    templates = [cut for cut in cuts if cut.piece.kind == "template"]
    others = [cut for cut in cuts if cut.piece.kind != "template"]
    groups = [("cut", _CUT_STYLE, others), ("templates", _TEMPLATE_STYLE, templates)]
    for name, style, held in groups:
        if held:
            group = _add_group(root, name, style, [write_path(cut.curves, DIGITS) for cut in held])
            for path, cut in zip(group, held, strict=True):
                path.set(v.PIECE, cut.piece.label)
                path.set(v.CUT, cut.piece.kind)
                if several:
                    path.set(v.ROOT_BLOCK, cut.piece.block)


def _add_group(root: etree._Element, name: str, style: str, paths: Iterable[str]) -> etree._Element:
    """A named group of paths, given by their data."""
    group = etree.SubElement(root, v.svg("g"))
    group.set("id", name)
    group.set("style", style)
    for data in paths:
        etree.SubElement(group, v.svg("path")).set("d", data)
    return group
