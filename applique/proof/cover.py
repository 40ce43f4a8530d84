"""How well an edge covers its band, told from its stitches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import polygons_of
from applique.geometry.strips import left_bare, round_ended
from applique.proof.band import EdgeBand

PASS_MM = 0.4
"""How wide a pass of thread is counted: the published cover pitch of 40 wt thread."""

BEYOND_MM = 0.1
"""How far thread may lie beyond its band and not count: one step of the embroidery frame."""

_CORNER_CHORDS = 2
"""Chords in a quarter of a pass's round end; they miss 0.015 mm of it at most."""


@dataclass(frozen=True)
class Cover:
    """Shares of the band: `covered` is under thread; `overspill` (relative to the band's area) is
    thread beyond it. `largest_gap_mm2` is the largest bare place, at `gap_place` (None if there is
    none but slivers of rounding), and `largest_over_mm2` where most thread lies beyond, at
    `over_place`; `rail_short_mm` is by how much the outer rail is missed at worst, at
    `rail_place`."""

    band_mm2: float
    covered: float
    overspill: float
    largest_gap_mm2: float
    gap_place: tuple[float, float] | None
    largest_over_mm2: float
    over_place: tuple[float, float] | None
    rail_short_mm: float
    rail_place: tuple[float, float] | None


def _outlines(paths: Sequence[np.ndarray], pass_mm: float) -> np.ndarray:
    """The outlines (n, k, 2) of the passes of thread in paths, (n, 2) arrays of mm."""
    starts = [path[:-1] for path in paths] or [np.zeros((0, 2))]
    ends = [path[1:] for path in paths] or [np.zeros((0, 2))]
    return round_ended(np.vstack(starts), np.vstack(ends), pass_mm / 2, _CORNER_CHORDS)


def cover(paths: Sequence[np.ndarray], band: EdgeBand, pass_mm: float = PASS_MM) -> Cover:
    """Measure the stitches of an edge, `paths` of (n, 2) mm without ties, against its band. A pass
    of thread counts `pass_mm` wide."""
    outlines = _outlines(paths, pass_mm)
    passes = shapely.polygons(outlines)
    total = band.needed.area
    bare = left_bare(band.needed, outlines).geoms
    reach = pass_mm / 2 + BEYOND_MM
    over = _beyond(passes, shapely.buffer(band.allowed, reach))
    gap = max(bare, key=lambda part: part.area, default=None)
    most = max(over, key=lambda part: part.area, default=None)
    short, place = _rail_short(band.outer_rail, passes)
    return Cover(
        band_mm2=total,
        covered=1 - sum(part.area for part in bare) / total if total else 1.0,
        overspill=sum(part.area for part in over) / total if total else 0.0,
        largest_gap_mm2=gap.area if gap else 0.0,
        gap_place=_within(gap),
        largest_over_mm2=most.area if most else 0.0,
        over_place=_within(most),
        rail_short_mm=short,
        rail_place=place,
    )


_SLIVER_MM2 = 1e-4
"""What is smaller comes of rounding; where the largest of such slivers lies says nothing."""


def _within(part: BaseGeometry | None) -> tuple[float, float] | None:
    if part is None or part.area < _SLIVER_MM2:
        return None
    point = part.representative_point()
    return (point.x, point.y)


_RAIL_STEP_MM = 0.1


def _beyond(passes: np.ndarray, ground: BaseGeometry) -> list[Polygon]:
    """Where passes lie beyond a ground. Few reach so far, and only those are joined."""
    shapely.prepare(ground)
    out = passes[~shapely.contains_properly(ground, passes)]
    return polygons_of(shapely.union_all(out).difference(ground))


def _rail_short(rail: BaseGeometry, passes: np.ndarray) -> tuple[float, tuple[float, float] | None]:
    """How far the thread stays behind the rail at worst, and where."""
    if rail.is_empty or len(passes) == 0:
        return 0.0, None
    places = shapely.points(shapely.get_coordinates(shapely.segmentize(rail, _RAIL_STEP_MM)))
    tree = shapely.STRtree(passes)
    under, _ = tree.query(places, predicate="intersects")
    bare = np.delete(places, under)
    if len(bare) == 0:
        return 0.0, None
    _, short = tree.query_nearest(bare, return_distance=True, all_matches=False)
    worst = bare[int(np.argmax(short))]
    return float(short.max()), (worst.x, worst.y)
