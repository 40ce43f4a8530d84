"""One page at true size to its templates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import cv2
import numpy as np
import shapely

from applique.geometry.curves import flatten
from applique.trace.band import Surroundings, near_band
from applique.trace.doubt import doubts_of
from applique.trace.far import far_band, middle_line
from applique.trace.gap_width import gap_width_px, narrow_enough
from applique.trace.gaps import Bridge, End, bridges, bridges_ahead, loose_ends
from applique.trace.guide import far_edge
from applique.trace.leftovers import left_out, mark_lines
from applique.trace.light import Light, evened_out, ink_mask, paper_values
from applique.trace.line import Line, line_along
from applique.trace.narrow_gaps import narrow_gaps
from applique.trace.number import Item, reading_order
from applique.trace.open_lines import ends_of_open_lines, long_ends_outside, open_lines
from applique.trace.page import InkEdge, Page
from applique.trace.region import Region, innermost
from applique.trace.regions import find_regions
from applique.trace.strokes import Strokes, find_strokes
from applique.trace.template import Gap, LeftOut, Template, TracedPage, box_of
from applique.trace.thinning import thinned
from applique.trace.whereabouts import PointMm

_CHECKED_MM = 0.01
"""Curves are flattened so finely to see whether an outline crosses itself."""


def trace_page(page: Page, ink_edge: InkEdge = "near", keep_marks: bool = False) -> TracedPage:
    """The templates on a page, in reading order."""
    grey = evened_out(page.grey)
    paper = paper_values(grey, page.mm_per_px)
    light = Light(grey, paper)
    mask = ink_mask(grey, paper)
    strokes = find_strokes(mask, page.mm_per_px)
    thin = thinned(strokes.ink)
    ends = loose_ends(thin, strokes)
    joined = narrow_enough(bridges(ends, strokes), light, mask, strokes)
    joined += narrow_gaps(thin, strokes, light, mask)
    regions = _regions(thin, ends, joined, light, mask, strokes)
    rest = left_out(strokes, regions)
    touches = _touches(rest)
    owner = innermost(regions, strokes.ink.shape)
    traced = []
    for number, region in enumerate(regions):
        touched = touches.get(number, [])
        around = Surroundings(_shared_lines(region, regions, owner), touched)
        band = near_band(mask, region, around, strokes.scale, page.mm_per_px, strokes.pen_mm)
        if band is None:
            continue
        outside, guide = ink_edge == "far", None
        if outside or touched:
            outer = far_band(mask, region, strokes.scale, band, page.mm_per_px)
            guide = None if outside else far_edge(light, outer, page)
            band = outer if outside else band
        line = line_along(light, region, band, page, outside, touched, guide)
        if line is not None and ink_edge == "centre":
            line = middle_line(line, page)
        if line is not None:
            traced.append((number, line))
    lines = [line for _, line in traced]
    templates = [
        _template(line, touches.get(number, []), lines, light, mask, strokes, page)
        for number, line in traced
    ]
    if keep_marks:
        kept = {number: _marks_in(number, rest) for number, _ in traced}
        templates = [
            replace(template, kept=kept[number])
            for template, (number, _) in zip(templates, traced, strict=True)
        ]
        rest = tuple(left for left in rest if not _is_kept(left, kept))
    templates = _in_reading_order(templates)
    opened = open_lines(ends, regions, strokes)
    pen_mm = float(np.median([line.pen_mm for line in lines])) if lines else strokes.pen_mm
    return TracedPage(tuple(templates), rest, opened, pen_mm)


def _regions(
    thin: np.ndarray,
    ends: Sequence[End],
    joined: Sequence[Bridge],
    light: Light,
    mask: np.ndarray,
    strokes: Strokes,
) -> list[Region]:
    """The regions, once loose ends without a partner are led on to the ink ahead: those of long
    lines first, since most others are the ends of digits."""
    bridged = list(joined)
    regions = find_regions(thin, strokes, bridged)
    for chosen in (long_ends_outside, ends_of_open_lines):
        ahead = bridges_ahead(chosen(ends, regions, strokes), bridged, thin, strokes)
        ahead = narrow_enough(ahead, light, mask, strokes)
        if ahead:
            bridged += ahead
            regions = find_regions(thin, strokes, bridged)
    return regions


def _marks_in(number: int, rest: Sequence[LeftOut]) -> tuple[np.ndarray, ...]:
    """The marks inside a region, but for its number, as lines."""
    marks = [left for left in rest if left.kind == "mark" and left.inside == number]
    return tuple(line for mark in marks for line in mark_lines(mark))


def _is_kept(left: LeftOut, kept: Mapping[int, object]) -> bool:
    return left.kind == "mark" and left.inside in kept


def _touches(rest: Sequence[LeftOut]) -> dict[int, list[PointMm]]:
    """Where other ink meets the line of each region."""
    touches: dict[int, list[PointMm]] = {}
    for left in rest:
        for number, place in left.touches:
            touches.setdefault(number, []).append(place)
    return touches


def _shared_lines(region: Region, regions: Sequence[Region], owner: np.ndarray) -> np.ndarray:
    """A mask in the window of a region of the other regions beside it, a pixel larger all round."""
    left, top = region.corner
    height, width = region.mask.shape
    others = owner[top : top + height, left : left + width]
    beside = np.array([q.inside == region.inside and q is not region for q in regions] + [False])
    return cv2.dilate(beside[others].astype(np.uint8), np.ones((3, 3), np.uint8))


def _template(
    line: Line,
    touched: Sequence[PointMm],
    lines: Sequence[Line],
    light: Light,
    mask: np.ndarray,
    strokes: Strokes,
    page: Page,
) -> Template:
    points = flatten(line.curve, _CHECKED_MM)
    box = box_of(points)
    gaps = tuple(
        _gap(bridge, light, mask, line.pen_mm, strokes, page)
        for bridge in line.region.bridges
        if _at_border(bridge, line.region)
    )
    around = [k for k, other in enumerate(lines) if other.region.label == line.region.inside]
    crossing = not bool(shapely.is_simple(shapely.linearrings(points)))
    doubts = doubts_of(line, gaps, touched, strokes.pen_mm, box, bool(around), crossing)
    return Template(line, line.curve, box, around[0] if around else None, gaps, doubts)


def _at_border(bridge: Bridge, region: Region) -> bool:
    """Whether a bridge is part of a region's border: between two strokes of a digit it is not."""
    column, row = np.rint((bridge.start.tip + bridge.stop.tip) / 2 - region.corner).astype(int)
    near = np.pad(region.mask, 2)[max(row, 0) : row + 5, max(column, 0) : column + 5]
    return bool(near.any() and not near.all())


def _gap(
    bridge: Bridge,
    light: Light,
    mask: np.ndarray,
    pen_mm: float,
    strokes: Strokes,
    page: Page,
) -> Gap:
    middle = ((bridge.start.tip + bridge.stop.tip) / 2 + 0.5) * strokes.mm_per_px
    pen_px = pen_mm / page.mm_per_px
    width_mm = gap_width_px(bridge, light, mask, strokes.scale, pen_px) * page.mm_per_px
    return Gap(width_mm, (float(middle[0]), float(middle[1])))


def _in_reading_order(templates: Sequence[Template]) -> list[Template]:
    order = reading_order([Item(template.box, template.inside) for template in templates])
    place: dict[int | None, int | None] = {old: new for new, old in enumerate(order)}
    place[None] = None
    return [replace(templates[k], inside=place[templates[k].inside]) for k in order]
