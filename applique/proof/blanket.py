"""A blanket stitch inspected from its needle points: pitch, direction and place of its bites.

Nothing is asked of the code that sewed it, so an edge moved by hand is judged as well.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon

from applique.geometry.walk import Walk
from applique.model import EdgeRun
from applique.proof.bites import find_bites
from applique.proof.standing import BittenRun, along_runs
from applique.settings import Settings

SIDE_PITCHES = 1.6
"""From this length on a whole number of pitches fits a side within a fifth of the setting."""

Place = tuple[float, float]


@dataclass(frozen=True)
class Worst:
    """The worst value of a figure, and where (mm on the page); None where nothing was measured."""

    value: float = 0.0
    place: Place | None = None


@dataclass(frozen=True)
class BlanketProof:
    """What a blanket stitch is like.

    `pitches_mm` are the distances along the outline from bite to bite, side by side between
    corners. Over sides of at least 1.6 pitches, `unequal_percent` is the largest difference
    between two pitches of one side, and `off_setting_percent` the largest from the setting.
    `askew_degrees` is how far a bite leans from square, or at a corner from the bisector.
    The rest are places: corners without a bite, bites that cross another, bites that run off the
    fabric, bites whose pivot stands in the fabric, bites not sewn as often as most.
    """

    bites: int
    pitches_mm: tuple[tuple[float, ...], ...]
    unequal_percent: Worst
    off_setting_percent: Worst
    askew_degrees: Worst
    bare_corners: tuple[Place, ...]
    crossing: tuple[Place, ...]
    off_fabric: tuple[Place, ...]
    pivot_inside: tuple[Place, ...]
    uneven_strokes: tuple[Place, ...]


@dataclass(frozen=True, eq=False)
class _Side:
    """Pitches (n,) between two corners, or round a ring without any, and where each is (n, 2)."""

    pitches_mm: np.ndarray
    middles: np.ndarray

    @property
    def length_mm(self) -> float:
        return float(self.pitches_mm.sum())

    @property
    def unequal(self) -> Worst:
        """The largest difference between two pitches in % of their mean, at the oddest one."""
        mean = self.pitches_mm.mean()
        oddest = int(np.argmax(np.abs(self.pitches_mm - mean)))
        return Worst(float(100 * np.ptp(self.pitches_mm) / mean), _places(self.middles)[oddest])

    def off(self, pitch_mm: float) -> Worst:
        """The largest difference from a pitch in % of it."""
        share = 100 * np.abs(self.pitches_mm - pitch_mm) / pitch_mm
        furthest = int(np.argmax(share))
        return Worst(float(share[furthest]), _places(self.middles)[furthest])


def inspect_blanket(
    paths: Sequence[np.ndarray], shape: MultiPolygon, runs: Sequence[EdgeRun], settings: Settings
) -> BlanketProof:
    """Inspect the paths, (n, 2) arrays of mm, of a piece's edge step.

    `shape` is the piece's outline, `runs` the stretches of it that are sewn.
    """
    shapely.prepare(shape)
    bites = find_bites(paths, shape)
    along = along_runs(bites, runs)
    sides = [side for run in along for side in _sides(run)]
    pitch = settings.edge_spacing_mm
    long = [side for side in sides if side.length_mm >= SIDE_PITCHES * pitch]
    return BlanketProof(
        bites=len(bites.pivot),
        pitches_mm=tuple(tuple(side.pitches_mm.tolist()) for side in sides),
        unequal_percent=_worst(side.unequal for side in long),
        off_setting_percent=_worst(side.off(pitch) for side in long),
        askew_degrees=_worst(lean for run in along for lean in _leans(run)),
        bare_corners=tuple(place for run in along for place in _bare_corners(run)),
        crossing=_places(bites.inner[bites.crossing()]),
        off_fabric=_places(bites.inner[bites.off_fabric(shape)]),
        pivot_inside=_places(bites.pivot[bites.pivot_inside(shape)]),
        uneven_strokes=_places(bites.pivot[bites.strokes != _usual(bites.strokes)]),
    )


def _sides(run: BittenRun) -> list[_Side]:
    """The sides of a run: from corner to corner, and to the ends of an open one."""
    walk, arc = run.walk, run.between
    stops = run.own_corner_mm
    if walk.closed:
        # Round a ring without corners the first bite is where it starts and ends.
        stops = stops if len(stops) else np.array([arc.min(initial=walk.length)])
        arc = stops[0] + np.mod(arc - stops[0], walk.length)
        stops = np.append(stops, stops[0] + walk.length)
    else:
        stops = np.concatenate([[0.0], stops, [walk.length]])
    return [
        _side(walk, np.sort(np.concatenate([[a, b], arc[(arc > a) & (arc < b)]])))
        for a, b in itertools.pairwise(stops.tolist())
    ]


def _side(walk: Walk, knots: np.ndarray) -> _Side:
    return _Side(np.diff(knots), walk.at((knots[:-1] + knots[1:]) / 2))


def _leans(run: BittenRun) -> list[Worst]:
    places = _places(run.walk.at(run.arc))
    return [
        Worst(lean, place) for lean, place in zip(run.lean_degrees.tolist(), places, strict=True)
    ]


def _bare_corners(run: BittenRun) -> tuple[Place, ...]:
    return _places(run.walk.at(run.corners_mm[run.at_corner < 0]))


def _usual(strokes: np.ndarray) -> int:
    return int(np.bincount(strokes).argmax()) if len(strokes) else 0


def _places(points: np.ndarray) -> tuple[Place, ...]:
    return tuple((float(x), float(y)) for x, y in points)


def _worst(values: Iterable[Worst]) -> Worst:
    return max(values, key=lambda worst: worst.value, default=Worst())
