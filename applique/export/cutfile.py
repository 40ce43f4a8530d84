"""A cut sheet as an SVG file in millimetres, for a cutting machine or for scissors."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from lxml import etree

from applique.cutting.sheet import PlacedCut, Sheet
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


def cut_file(sheet: Sheet) -> bytes:
    """The sheet as SVG: one path a piece with all its rings, and groups of their own for templates,
    the drawing and the test square."""
    width, height = compact(sheet.width, DIGITS), compact(sheet.height, DIGITS)
    root = etree.fromstring(_EMPTY)
    root.set("width", f"{width}mm")
    root.set("height", f"{height}mm")
    root.set("viewBox", f"0 0 {width} {height}")
    root.set(v.ROOT_VERSION, v.VERSION)
    root.set(v.SHEET, sheet.fabric)
    root.set(v.FACE, sheet.face)
    title = etree.SubElement(root, v.svg("title"))
    title.text = f"{sheet.fabric}, {sheet.face} side up, true size"
    _add_cuts(root, "cut", _CUT_STYLE, sheet.cuts)
    if sheet.templates:
        _add_cuts(root, "templates", _TEMPLATE_STYLE, sheet.templates)
    _add_drawing(root, sheet.drawing)
    square = _group(root, "test-square", _SQUARE_STYLE)
    etree.SubElement(square, v.svg("path")).set("d", write_path([sheet.test_square], DIGITS))
    etree.indent(root)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8") + b"\n"


def _group(root: etree._Element, name: str, style: str) -> etree._Element:
    group = etree.SubElement(root, v.svg("g"))
    group.set("id", name)
    group.set("style", style)
    return group


def _add_cuts(root: etree._Element, name: str, style: str, cuts: Sequence[PlacedCut]) -> None:
    group = _group(root, name, style)
    for cut in cuts:
        path = etree.SubElement(group, v.svg("path"))
        path.set("d", write_path(cut.curves, DIGITS))
        path.set(v.PIECE, cut.piece)
        path.set(v.CUT, cut.kind)


def _add_drawing(root: etree._Element, lines: Sequence[np.ndarray]) -> None:
    group = _group(root, "drawing", _DRAWING_STYLE)
    for line in lines:
        etree.SubElement(group, v.svg("path")).set("d", write_points(line, DIGITS))
