"""The cutting layer: cut lines written as tagged paths, and read back."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from lxml import etree

from applique.errors import InputError
from applique.geometry.curves import transformed
from applique.model import Curve, CutLine
from applique.report import Finding, error
from applique.svg import vocabulary as v
from applique.svg.layers import cleared_layer, digits_for, indent, unit_scale
from applique.svg.outlines import outline_of
from applique.svg.paths import parse_path, write_path, write_points
from applique.svg.stitchpath import read_stitches
from applique.svg.transforms import apply, chain_of, compose, inverse, root_matrix
from applique.units import FURTHEST_MM, degrees_in

LINE_WIDTH_MM = 0.2


def write_cut_lines(root: etree._Element, lines: Sequence[CutLine]) -> None:
    """Put cut lines into the document's cutting layer, in place of what stands there.

    A new layer is hidden, because its lines lie on those of the artwork.
    """
    is_new = all(child.get(v.ROLE) != v.ROLE_CUTTING for child in root)
    layer = cleared_layer(root, v.ROLE_CUTTING, "Cutting", _is_cut_line)
    if is_new:
        layer.set("style", "display:none")
    scale = unit_scale(root)
    digits = digits_for(scale)
    to_user = inverse(root_matrix(root))
    for line in lines:
        curves = [transformed(curve, to_user) for curve in line.curves]
        path = etree.SubElement(layer, v.svg("path"))
        path.set("d", write_path(curves, digits))
        path.set(v.PIECE, line.piece)
        path.set(v.FABRIC, line.fabric)
        path.set(v.CUT, line.kind)
        if line.grain_degrees is not None:
            path.set(v.GRAIN, f"{line.grain_degrees:g}")
        path.set(v.TURN, line.turn)
        for name, open_lines in ((v.FLAT, line.flat), (v.CLIPS, line.clips)):
            if open_lines:
                written = [write_points(apply(to_user, points), digits) for points in open_lines]
                path.set(name, " ".join(written))
        width = f"{LINE_WIDTH_MM / scale:.4g}"
        path.set("style", f"fill:none;stroke:#000000;stroke-width:{width}")
    indent(layer)


def _is_cut_line(element: etree._Element) -> bool:
    return element.get(v.CUT) is not None


def read_cut_lines(root: etree._Element) -> tuple[CutLine, ...]:
    """Read the cutting layer, in mm on the page; raises InputError naming what can't be cut."""
    findings: list[Finding] = []
    lines: list[CutLine] = []
    for layer in (child for child in root if child.get(v.ROLE) == v.ROLE_CUTTING):
        for path in layer.iter(v.svg("path")):
            if _is_cut_line(path):
                _read_line(path, root, lines, findings)
    if findings:
        raise InputError("some of the cut lines can't be read", findings)
    return tuple(lines)


def _read_line(
    path: etree._Element, root: etree._Element, lines: list[CutLine], findings: list[Finding]
) -> None:
    label, kind, turn = path.get(v.PIECE, ""), path.get(v.CUT, ""), path.get(v.TURN, "any")
    try:
        matrix = compose(root_matrix(root), chain_of(path))
        curves = _curves_of(path, matrix)
        flat, clips = (_lines_of(path, name, matrix) for name in (v.FLAT, v.CLIPS))
        degrees = _grain_of(path)
        if kind not in v.CUT_KINDS:
            kinds = ", ".join(v.CUT_KINDS)
            raise ValueError(f"'{kind}' is no kind of cut line; use one of {kinds}")
        if turn not in v.TURNS:
            raise ValueError(f"ap:turn must be one of {', '.join(v.TURNS)}, not '{turn}'")
        if not label:
            raise ValueError("it names no piece; give it ap:piece or remove it")
    except ValueError as problem:
        name = label or path.get("id", "") or "cutting layer"
        told = f"its cut line can't be used: {problem}"
        told = told if ";" in told else f"{told}; mend it or remove it"
        findings.append(error("cut-line", name, told))
        return
    lines.append(CutLine(label, path.get(v.FABRIC, ""), kind, curves, degrees, turn, flat, clips))


def _curves_of(path: etree._Element, matrix: np.ndarray) -> tuple[Curve, ...]:
    """The closed curves of a cut line, in mm on the page."""
    curves = [transformed(curve, matrix) for curve in parse_path(path.get("d", ""))]
    fatal = [trouble for trouble in outline_of(curves, "evenodd").troubles if trouble.fatal]
    if fatal:
        raise ValueError(fatal[0].message)
    return tuple(curves)


def _lines_of(path: etree._Element, name: str, matrix: np.ndarray) -> tuple[np.ndarray, ...]:
    """The open lines that an attribute of a cut line holds, in mm on the page."""
    lines = tuple(apply(matrix, points) for points in read_stitches(path.get(name, "")))
    if not all(np.abs(line).max() <= FURTHEST_MM for line in lines):
        called = f"ap:{name.rpartition('}')[2]}"
        raise ValueError(f"its {called} reaches {FURTHEST_MM / 1000:g} m or more from the page")
    return lines


def _grain_of(path: etree._Element) -> float | None:
    text = path.get(v.GRAIN)
    return None if text is None else degrees_in(text)
