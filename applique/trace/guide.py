"""The near edge of a line where something touches it, told by the line's far edge.

A pen's line is about as wide there as on either side. So its far edge, which nothing touches, shows
the way: moved in by the width of the line it is the near edge, with its corners and its tremor.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from applique.trace.band import BEYOND, BLURRED, SEEN, Band
from applique.trace.blur import blur_px
from applique.trace.edge import edge_along
from applique.trace.light import Light
from applique.trace.outline import shaped
from applique.trace.page import Page
from applique.trace.rail import Rail, nearest
from applique.trace.repair import SPACING_MM, Mended, Stretch, mended, without_blurs

_FLANK_MM = 4.0
"""So much of the edge on either side tells how wide the line is: a line's width wanders slowly, and
further away it says little about the place between."""

_SHORTEST_FLANK_MM = 0.5
"""A side that is seen for less than this tells nothing."""

_STRAYS_MM = 0.05
_CREVICE_MM = 2.0
"""What strays by more than the first from where the far edge leads, within the second of where
nothing is seen, is no edge but the crevice between the line and what touches it, where light from
both runs together: beside a digit's loop of 3 mm it is narrower than four pixels of 300 dpi for
1.4 mm, beside a stroke at a slant for longer."""

_ROUGH_MM = 0.1
"""Where half of what is seen strays by more than this, the far edge is no guide."""

_ROUNDS = 5
_OUTLIER = 2.5
"""The width's course is found so many times, each time without what strays by more than so many
medians: about one in ten if all is in order."""

_END_MM = 0.6
"""The ends meet what is seen within this distance of them, not its grain."""


@dataclass(frozen=True, eq=False)
class FarEdge:
    """The far edge of a closed line of width `pen_mm`, its corners restored: `points` (n, 2) in mm,
    and the points (k, 2) of its stretches that can't be seen either."""

    points: np.ndarray
    unseen: np.ndarray
    pen_mm: float


def far_edge(light: Light, band: Band, page: Page) -> FarEdge | None:
    """The far edge of a line along the band outside it; None if too little of it can be seen."""
    pen_px, mm_per_px = 2 * band.half_pen_px, page.mm_per_px
    edge = edge_along(light, band.pixels, pen_px, ink_outside=False)
    points = edge.points * mm_per_px
    kept = without_blurs(points, edge.found)
    found, why = edge.found[kept], band.why[kept]
    why = np.where((why == SEEN) & ~found, BLURRED, why)
    whole = mended(points[kept], why, pen_px * mm_per_px)
    if whole is None:
        return None
    points = shaped(whole.points, 0.0, blur_px(light, edge) * mm_per_px).points()
    return FarEdge(points, whole.points[whole.bridged], pen_px * mm_per_px)


def guided(whole: Mended, far: FarEdge) -> Mended:
    """A mended near edge, in mm, that follows the far edge where something touches the line and the
    far edge is a guide; elsewhere it stays as it is."""
    touched = [k for k, stretch in enumerate(whole.stretches) if BEYOND in stretch.why]
    if not touched:
        return whole
    bounds = np.flatnonzero(np.diff(whole.bridged.astype(np.int8)) != 0) + 1
    seen = np.split(whole.points, bounds)[::2]
    stretches = list(whole.stretches)
    for k in touched:
        after = (k + 1) % len(seen)
        way = _way(seen[k], seen[after], far)
        if way is not None:
            seen[k] = seen[k][: len(seen[k]) - way.back]
            seen[after] = seen[after][way.ahead :]
            stretches[k] = _led(stretches[k], way.points, seen[k][-1], seen[after][0])
    parts = [part for k, stretch in enumerate(stretches) for part in (seen[k], stretch.points)]
    bridged = [np.full(len(part), k % 2 == 1) for k, part in enumerate(parts)]
    return Mended(np.concatenate(parts), np.concatenate(bridged), tuple(stretches))


def _led(stretch: Stretch, points: np.ndarray, start: np.ndarray, stop: np.ndarray) -> Stretch:
    """A stretch that now leads through other points from one place to another."""
    x, y = points[len(points) // 2].tolist()
    length_mm = float(np.hypot(*(stop - start)))
    return replace(stretch, points=points, length_mm=length_mm, place=(x, y))


@dataclass(frozen=True, eq=False)
class _Way:
    """Points (n, 2) in mm between two seen runs, of which the first loses its last `back` points
    and the second its first `ahead`."""

    back: int
    ahead: int
    points: np.ndarray


def _way(before: np.ndarray, after: np.ndarray, far: FarEdge) -> _Way | None:
    """The way from one seen run to the next along the far edge; None if that is no guide here."""
    most = len(before) // 2 if before is after else max(len(before), len(after))
    back, ahead = _flank(before[::-1][:most]), _flank(after[:most])
    if min(_arc(back)[-1], _arc(ahead)[-1]) < _SHORTEST_FLANK_MM:
        return None
    flanks = np.concatenate([back, ahead])
    rail = Rail.between(far.points, flanks, far.pen_mm)
    if rail is None:
        return None
    along, off = rail.located(flanks)
    course, strays = _steady(along, off)
    if np.median(np.abs(strays)) > _ROUGH_MM:
        return None
    first, last = _end(back, strays[: len(back)]), _end(ahead, strays[len(back) :])
    if first is None or last is None:
        return None
    start, stop = along[first.index], along[len(back) + last.index]
    if stop - start < SPACING_MM:
        return None
    share = np.linspace(0, 1, max(3, round((stop - start) / SPACING_MM) + 1))[1:-1]
    places = start + share * (stop - start)
    apart = first.off_mm + share * (last.off_mm - first.off_mm)
    points = rail.points(places, np.polyval(course, places) + apart)
    return None if _unseen(points, far) else _Way(first.index, last.index, points)


def _flank(run: np.ndarray) -> np.ndarray:
    """The first part of a seen run."""
    return run[_arc(run) <= _FLANK_MM]


def _arc(run: np.ndarray) -> np.ndarray:
    """How far along an open line each of its points is, (n,) mm."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))])


def _steady(along: np.ndarray, off: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The parabola, (3,), by which what is seen runs apart from the far edge's lead as the line
    grows wider and thinner, and how far each point strays from it, (n,) mm."""
    keep = np.ones(len(off), bool)
    for _ in range(_ROUNDS):
        course = np.polyfit(along[keep], off[keep], 2)
        strays = off - np.polyval(course, along)
        usual = float(np.median(np.abs(strays[keep])))
        keep = np.abs(strays) <= max(_OUTLIER * usual, _STRAYS_MM / 2)
    return course, strays


@dataclass(frozen=True)
class _End:
    """Where the edge is seen beside a stretch: from the point `index` of its flank on, `off_mm`
    inside the course."""

    index: int
    off_mm: float


def _end(flank: np.ndarray, strays: np.ndarray) -> _End | None:
    """The first place of a flank that is no crevice; None if there is none nearby."""
    arc = _arc(flank)
    sure = (np.abs(strays) < _STRAYS_MM) & (arc < _CREVICE_MM)
    if not sure.any():
        return None
    index = int(np.argmax(sure))
    near = (arc >= arc[index]) & (arc <= arc[index] + _END_MM)
    return _End(index, float(np.clip(strays[near], -_STRAYS_MM, _STRAYS_MM).mean()))


def _unseen(points: np.ndarray, far: FarEdge) -> bool:
    """Whether the far edge can't be seen either beside any of these points."""
    if len(far.unseen) == 0:
        return False
    return bool((nearest(points, far.unseen) < nearest(points, far.points) + SPACING_MM).any())
