"""The outlines of a library's templates, in mm."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from lxml import etree

from applique.geometry.curves import flatten_closed
from applique.geometry.rings import snapped
from applique.library.shelf import Library
from applique.library.symbols import Entry
from applique.model import Curve, Outline
from applique.report import Finding, warning
from applique.svg import vocabulary as v
from applique.svg.layers import unit_scale
from applique.svg.outlines import trace
from applique.svg.plainpath import parse_plain
from applique.svg.tree import Drawn, Kind, drawn

_ONE = 1e-9
"""A unit that differs from a millimetre by no larger share is one."""


_NO_SHAPE: Mapping[Kind, str] = {
    "text": "text",
    "image": "a picture",
    "broken clone": "a clone of something that is gone",
    "group": "a group that is tagged as a piece",
}


@dataclass(frozen=True, eq=False)
class Outlines:
    """Outlines in the order of the entries asked for, None for those that have none."""

    outlines: tuple[Outline | None, ...]
    findings: tuple[Finding, ...]


def outlines_of(library: Library, entries: Sequence[Entry]) -> Outlines:
    """The outlines of templates, in mm as they lie in their symbols.

    Symbols of one plain path, as most are, are read together; all others one by one.
    """
    outlines = _plain_outlines(library.root, entries)
    left = [k for k, outline in enumerate(outlines) if outline is None]
    findings: list[Finding] = []
    shapes = _shapes(library.root, [entries[k] for k in left])
    for k, drawn_by in zip(left, shapes, strict=True):
        findings.extend(
            warning(item.kind, entries[k].name, f"holds {_NO_SHAPE[item.kind]}, which is left out")
            for item in drawn_by
            if item.kind != "shape"
        )
        drawn_shapes = [item for item in drawn_by if item.kind == "shape"]
        if not drawn_shapes:
            findings.append(warning("no-outline", entries[k].name, "shows no shape"))
            continue
        traced = trace(drawn_shapes)
        outlines[k] = traced.outline
        findings.extend(
            warning(trouble.code, entries[k].name, trouble.message, trouble.place)
            for trouble in traced.troubles
        )
    return Outlines(tuple(outlines), tuple(findings))


def _plain_outlines(root: etree._Element, entries: Sequence[Entry]) -> list[Outline | None]:
    """The outlines of the entries that hold one plain path, None for all others."""
    found: list[Outline | None] = [None] * len(entries)
    if abs(unit_scale(root) - 1) > _ONE or root.find(f".//{v.svg('style')}") is not None:
        return found
    curves = {k: drawn_by for k, e in enumerate(entries) if (drawn_by := _plain(e.element))}
    flat = iter(flatten_closed([curve for own in curves.values() for curve in own]))
    for k, own in curves.items():
        rings = [snapped(next(flat)) for _ in own]
        if min(len(ring) for ring in rings) >= 3:
            found[k] = Outline(_nested(rings), own)
    made = {k: outline for k, outline in enumerate(found) if outline is not None}
    clean = shapely.is_valid([outline.shape for outline in made.values()])
    for k, is_clean in zip(made, clean.tolist(), strict=True):
        if not is_clean:
            found[k] = None
    return found


def _nested(rings: Sequence[np.ndarray]) -> shapely.MultiPolygon:
    """Rings as one polygon, the others as holes in the first: what is no valid one is no template
    as we write them."""
    first, *others = rings
    return shapely.MultiPolygon([shapely.Polygon(first, others)])


def _plain(symbol: etree._Element) -> tuple[Curve, ...] | None:
    """The curves of a symbol that holds one path of plain rings and moves it nowhere."""
    content = [child for child in symbol if child.tag != v.svg("title")]
    if len(content) != 1 or content[0].tag != v.svg("path"):
        return None
    changing = ("transform", "viewBox", "width", "height", "class", "fill-rule")
    if any(element.get(name) for element in (symbol, content[0]) for name in changing):
        return None
    curves = parse_plain(str(content[0].get("d", "")))
    if not curves or not _holes_run_the_other_way(curves):
        return None
    return tuple(curves)


def _holes_run_the_other_way(curves: Sequence[Curve]) -> bool:
    """Whether all rings but the first run against it, as holes do."""
    if len(curves) == 1:
        return True
    turns = [_signed_area(curve.segments[:, 0]) > 0 for curve in curves]
    return turns[0] not in turns[1:]


def _signed_area(points: np.ndarray) -> float:
    """Twice the area inside a closed line, (n, 2), negative if it runs clockwise in (x, y)."""
    x, y = points.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def _shapes(root: etree._Element, entries: Sequence[Entry]) -> list[list[Drawn]]:
    """What each symbol draws. A document is made in which each is seen through one clone, so that
    symbols are read as the clones of them in a block are."""
    stage = etree.Element(root.tag, dict(root.attrib), nsmap=root.nsmap)  # type: ignore[arg-type,misc]
    defs = etree.SubElement(stage, v.svg("defs"))
    if entries:
        # Symbols may show each other, and style sheets may stand anywhere.
        defs.extend(copy.deepcopy(child) for child in root)
    place: dict[etree._Element, int] = {}
    for number, entry in enumerate(entries):
        symbol = copy.deepcopy(entry.element)
        symbol.set("id", f"symbol-{number}")
        defs.append(symbol)
        use = etree.SubElement(stage, v.svg("use"))
        use.set("href", f"#symbol-{number}")
        place[use] = number
    shapes: list[list[Drawn]] = [[] for _ in entries]
    for item in drawn(stage):
        shapes[place[item.owner]].append(item)
    return shapes
