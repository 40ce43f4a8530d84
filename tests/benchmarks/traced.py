"""What is counted over traced pages whose truth is known."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from applique.geometry.curves import flatten
from applique.trace.outline import fitted
from applique.trace.page import Page, Picture
from applique.trace.pages import trace_page
from applique.trace.scale import Asked, page_of
from applique.trace.template import Template
from tests.trace.scans import MadePage, TruePiece

_NOTCH_PENS = 1.25
_GAP_REACH_MM = 5.0
_SAME_PLACE_MM = 6.0
_ALIKE = 0.7
_EVERY_MM = 0.05

_CUBICS_AT_MM = 0.05
"""The goal for the number of cubics is set at this tolerance; paths are written with a closer
one."""


@dataclass
class Tally:
    """What was counted over some pages."""

    pieces: int = 0
    found: int = 0
    false: int = 0
    contour: list[np.ndarray] = field(default_factory=list)
    final: list[np.ndarray] = field(default_factory=list)
    silent: list[str] = field(default_factory=list)
    far: list[str] = field(default_factory=list)
    gaps: list[tuple[bool, float | None]] = field(default_factory=list)
    touched: list[tuple[bool, float]] = field(default_factory=list)
    counts_exact: list[bool] = field(default_factory=list)
    miscounted: list[str] = field(default_factory=list)
    convex_mm: list[float] = field(default_factory=list)
    concave_mm: list[float] = field(default_factory=list)
    tips_mm: list[float] = field(default_factory=list)
    curves: list[int] = field(default_factory=list)
    curves_at_goal: list[int] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    flagged: int = 0
    ordered: list[bool] = field(default_factory=list)


def tally_page(made: MadePage, tally: Tally) -> None:
    """Trace a page and count."""
    started = time.perf_counter()
    if made.name.startswith("photo"):
        page, _ = page_of(Picture(made.name, made.grey, None), Asked(None, made.paper_mm))
    else:
        page = Page(made.name, made.grey, made.mm_per_px)
    traced = trace_page(page)
    tally.seconds.append(time.perf_counter() - started)
    tally.pieces += len(made.pieces)
    matched = _matched(traced.templates, made.pieces)
    tally.false += len(traced.templates) - len(matched)
    tally.found += len(matched)
    numbers = [piece.number for _, piece in matched]
    tally.ordered.append(numbers == sorted(numbers))
    for template, piece in matched:
        _tally_piece(template, piece, page, tally, made.name)


def _matched(
    templates: Sequence[Template], pieces: Sequence[TruePiece]
) -> list[tuple[Template, TruePiece]]:
    """Outlines and the pieces that they are of, by what the pen drew of these, each taken once, in
    the order of the outlines."""
    left = {k: shapely.Polygon(piece.inner).buffer(0) for k, piece in enumerate(pieces)}
    pairs = []
    for template in templates:
        shape = shapely.Polygon(flatten(template.curve)).buffer(0)
        alike = {k: _overlap(shape, other) for k, other in left.items()}
        best = max(alike, key=lambda k: alike[k], default=None)
        if best is not None and alike[best] > _ALIKE:
            pairs.append((template, pieces[best]))
            del left[best]
    return pairs


def _overlap(first: shapely.Geometry, second: shapely.Geometry) -> float:
    if not first.intersects(second):
        return 0.0
    return float(first.intersection(second).area / first.union(second).area)


def _tally_piece(template: Template, piece: TruePiece, page: Page, tally: Tally, name: str) -> None:
    truth = shapely.linearrings(piece.inner)
    shape = template.line.shape
    notches = np.array([c.place for c in shape.corners if c.inward]).reshape(-1, 2)
    reach = _NOTCH_PENS * template.line.pen_mm

    def away(points: np.ndarray) -> np.ndarray:
        if len(notches) == 0:
            return points
        apart = np.hypot(*(points[:, None] - notches[None]).transpose(2, 0, 1))
        return points[(apart > reach).all(axis=1)]

    drawn = _dense(flatten(template.curve, 0.002))
    final = shapely.distance(shapely.points(away(drawn)), truth)
    back = shapely.distance(shapely.points(away(_dense(piece.inner))), shapely.linearrings(drawn))
    worst = float(max(final.max(), back.max()))
    tally.flagged += bool(template.doubts)
    if worst > 0.3 and not template.doubts:
        tally.silent.append(f"{name}: {piece.number} {piece.kind} off by {worst:.2f} mm")
    if not piece.gap_mm and not piece.touched:
        contour = away(_dense(shape.points()))
        off = shapely.distance(shapely.points(contour), truth)
        tally.contour.append(off)
        if off.max() > 0.1 or final.max() > 0.08:
            told = f"{name}: {piece.number} {piece.kind} off by {off.max():.2f}, {final.max():.2f}"
            flags = ", ".join(doubt.code for doubt in template.doubts) or "no flag"
            tally.far.append(f"{told} mm ({flags})")
        tally.final.append(final)
    if piece.gap_at is not None:
        near = [gap for gap in template.gaps if _is_near(gap.place, piece.gap_at)]
        doubted = any(_is_near(doubt.place, piece.gap_at) for doubt in template.doubts)
        tally.gaps.append((doubted, near[0].width_mm - piece.gap_mm if near else None))
    if "number_touches" in piece.tags:
        apart = drawn if piece.gap_at is None else _clear_of(drawn, piece.gap_at)
        off_there = shapely.distance(shapely.points(away(apart)), truth)
        tally.touched.append((bool(template.doubts), float(off_there.max())))
    exact = len(shape.corners) == len(piece.corners)
    tally.counts_exact.append(exact)
    if not exact:
        tally.miscounted.append(
            f"{name}: {piece.number} {piece.kind} {len(shape.corners)} of {len(piece.corners)}"
        )
    for corner in shape.corners:
        if len(piece.corners):
            apart = np.hypot(*(piece.corners - corner.place).T)
            (tally.concave_mm if corner.inward else tally.convex_mm).append(float(apart.min()))
            if not corner.inward and not piece.gap_mm and not piece.touched:
                tip = _tip_of_ink(piece, piece.corners[int(apart.argmin())])
                tally.tips_mm.append(float(np.hypot(*(tip - corner.place))))
    tally.curves.append(len(template.curve.segments))
    tally.curves_at_goal.append(len(fitted(shape, _CUBICS_AT_MM).segments))


def _is_near(place: Sequence[float], gap_at: np.ndarray) -> bool:
    return float(np.hypot(*(np.array(place) - gap_at))) < _SAME_PLACE_MM


def _tip_of_ink(piece: TruePiece, corner: np.ndarray) -> np.ndarray:
    """Where the true ink of a piece reaches furthest at a corner of its template that points
    outward: what a pen that stood off and trembled has left of it."""
    template, ink = _dense(piece.template), _dense(piece.inner)
    at = int(np.argmin(np.hypot(*(template - corner).T)))
    sides = [template[(at + step) % len(template)] for step in (-_SIDE_STEPS, _SIDE_STEPS)]
    outward = corner - (sides[0] + sides[1]) / 2
    near = ink[np.hypot(*(ink - corner).T) < _TIP_REACH_MM]
    return near[np.argmax(near @ outward)] if len(near) else np.full(2, np.inf)


_SIDE_STEPS, _TIP_REACH_MM = 20, 1.5


def _clear_of(points: np.ndarray, gap_at: np.ndarray) -> np.ndarray:
    """Points that no gap, whose shape nobody can know, has to do with."""
    return points[np.hypot(*(points - gap_at).T) > _GAP_REACH_MM]


def _dense(points: np.ndarray) -> np.ndarray:
    ring = shapely.linearrings(points)
    places = np.arange(0, ring.length, _EVERY_MM)
    return shapely.get_coordinates(shapely.line_interpolate_point(ring, places))
