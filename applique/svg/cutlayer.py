"""The cutting layer: cut lines written as tagged paths, and read back."""

from __future__ import annotations

from collections.abc import Sequence

from lxml import etree

from applique.errors import InputError
from applique.geometry.curves import transformed
from applique.model import CutLine
from applique.report import Finding, error
from applique.svg import vocabulary as v
from applique.svg.paths import parse_path, write_path
from applique.svg.tagged import digits_for, indent, layer_of, unit_scale
from applique.svg.transforms import compose, inverse, parse_transform, root_matrix

LINE_WIDTH_MM = 0.2


def write_cut_lines(root: etree._Element, lines: Sequence[CutLine]) -> None:
    """Put cut lines into the document's cutting layer, in place of what stands there.

    A new layer is hidden, because its lines lie on those of the artwork.
    """
    is_new = all(child.get(v.ROLE) != v.ROLE_CUTTING for child in root)
    layer = layer_of(root, v.ROLE_CUTTING, "Cutting")
    if is_new:
        layer.set("style", "display:none")
    for child in list(layer):
        layer.remove(child)
    layer.attrib.pop("transform", "")
    scale = unit_scale(root)
    to_user = inverse(root_matrix(root))
    for line in lines:
        curves = [transformed(curve, to_user) for curve in line.curves]
        path = etree.SubElement(layer, v.svg("path"))
        path.set("d", write_path(curves, digits_for(scale)))
        path.set(v.PIECE, line.piece)
        path.set(v.FABRIC, line.fabric)
        path.set(v.CUT, line.kind)
        if line.grain_degrees is not None:
            path.set(v.GRAIN, f"{line.grain_degrees:g}")
        path.set(v.TURN, line.turn)
        width = f"{LINE_WIDTH_MM / scale:.4g}"
        path.set("style", f"fill:none;stroke:#000000;stroke-width:{width}")
    indent(layer)


def read_cut_lines(root: etree._Element) -> tuple[CutLine, ...]:
    """Read the cutting layer, in mm on the page; raises InputError naming what can't be cut."""
    findings: list[Finding] = []
    lines: list[CutLine] = []
    for layer in (child for child in root if child.get(v.ROLE) == v.ROLE_CUTTING):
        for path in layer.iter(v.svg("path")):
            if path.get(v.CUT) is not None:
                _read_line(path, root, lines, findings)
    if findings:
        raise InputError("some of the cut lines can't be read", findings)
    return tuple(lines)


def _read_line(
    path: etree._Element, root: etree._Element, lines: list[CutLine], findings: list[Finding]
) -> None:
    label, kind = path.get(v.PIECE, ""), path.get(v.CUT, "")
    try:
        matrix = parse_transform(path.get("transform"))
        for around in path.iterancestors(v.svg("g")):
            matrix = compose(parse_transform(around.get("transform")), matrix)
        matrix = compose(root_matrix(root), matrix)
        curves = tuple(transformed(curve, matrix) for curve in parse_path(path.get("d", "")))
        grain = path.get(v.GRAIN)
        degrees = None if grain is None else float(grain)
    except ValueError as problem:
        findings.append(error("cut-line", label, f"its cut line can't be read: {problem}"))
        return
    turn = path.get(v.TURN, "any")
    if kind not in v.CUT_KINDS:
        text = f"'{kind}' is no kind of cut line; use one of {', '.join(v.CUT_KINDS)}"
        findings.append(error("cut-line", label, text))
    elif turn not in v.TURNS:
        text = f"ap:turn must be one of {', '.join(v.TURNS)}, not '{turn}'"
        findings.append(error("cut-line", label, text))
    elif curves:
        lines.append(CutLine(label, path.get(v.FABRIC, ""), kind, curves, degrees, turn))
