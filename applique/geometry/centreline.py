"""The middle lines of the strokes that a shape consists of, as of letters, stars and rings.

The middle of a shape is the medial axis of its outline, here from the Voronoi cells of points on it
(D. T. Lee, "Medial axis transformation of a planar shape", 1982). Its spurs into corners are left
out; what is left runs on to the outline.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from applique.geometry.lines import dense
from applique.geometry.rings import rings_of
from applique.geometry.walk import Walk, step_lengths, unit, without_repeats

SAMPLE_MM = 0.12
"""How far apart the points on the outline lie: about a step of the embroidery frame."""

SPUR = 0.5
MOST_SPUR_MM = 0.7
SPUR_MM = 0.1
"""A branch that reaches no further out of the circle at its foot than by this share of its radius,
or this length, and so much more, is the spur of a corner: those of right angles reach out by 0.41
of the radius. In wide shapes stitches along other strokes would not fill so large a corner."""

SPLINTER_MM = 0.4
"""What is nowhere wider than a pass of thread, and hangs on to nothing, is no stroke."""

_ROUNDS = 3
_SMOOTH_APART_MM = 0.2
_SMOOTH_OVER = 3
_END_WAY_MM = 0.8
"""Over this length an end tells in which direction it runs on."""


@dataclass(frozen=True, eq=False)
class Stroke:
    """The middle line of one stroke: (n, 2) mm, closed for a ring. `first` and `last` number the
    places where it ends; strokes that meet share them."""

    points: np.ndarray
    closed: bool
    first: int
    last: int


def strokes_of(shape: Polygon) -> list[Stroke]:
    """The strokes that a shape consists of; none where it is hardly longer than wide."""
    graph = _Graph(shape)
    for _ in range(_ROUNDS):
        if not graph.cut_spurs():
            break
    strokes = []
    for points, first, last in graph.chains():
        if first == last and not graph.is_fork(first):
            strokes.append(Stroke(_smooth(points, True), True, first, last))
            continue
        line = np.vstack([points, points[:1]]) if first == last else points
        line = _smooth(line, False)
        line = _run_on(line, graph.is_free(first), graph.is_free(last), shape)
        strokes.append(Stroke(line, False, first, last))
    return strokes


class _Graph:
    """The medial axis as places joined by short ways."""

    def __init__(self, shape: Polygon) -> None:
        ends = _inner_ways(shape)
        places, numbers = np.unique(np.round(ends.reshape(-1, 2), 6), axis=0, return_inverse=True)
        self._places = places
        self._radius = shapely.distance(shape.boundary, shapely.points(places))
        self._next: dict[int, set[int]] = {}
        for a, b in numbers.reshape(-1, 2).tolist():
            if a != b:
                self._next.setdefault(a, set()).add(b)
                self._next.setdefault(b, set()).add(a)
        self._drop_splinters()

    def _drop_splinters(self) -> None:
        """Leave out what rounding has cut off in a cusp: the axis of a shape hangs together, and
        what is nowhere wider than a thread is covered by its neighbour."""
        parts: list[set[int]] = []
        left = set(self._next)
        while left:
            part = self._reached_from(min(left))
            left -= part
            parts.append(part)
        for part in sorted(parts, key=self._length_of, reverse=True)[1:]:
            if self._radius[list(part)].max() < SPLINTER_MM / 2:
                for place in part:
                    del self._next[place]

    def _reached_from(self, place: int) -> set[int]:
        reached, waiting = {place}, [place]
        while waiting:
            new = self._next[waiting.pop()] - reached
            reached |= new
            waiting.extend(new)
        return reached

    def _length_of(self, part: set[int]) -> float:
        """Twice the length of the ways among some places, in mm."""
        ways = [(a, b) for a in sorted(part) for b in sorted(self._next[a])]
        first, last = np.array(ways).T
        across = self._places[last] - self._places[first]
        return float(np.hypot(across[:, 0], across[:, 1]).sum())

    def is_free(self, place: int) -> bool:
        """Whether nothing goes on from an end."""
        return len(self._next.get(place, ())) == 1

    def is_fork(self, place: int) -> bool:
        """Whether strokes meet in an end."""
        return len(self._next.get(place, ())) > 2

    def cut_spurs(self) -> bool:
        """Take away the branches that only lead into corners; returns whether there were any."""
        spurs = [chain for chain in self._from_free_ends() if self._is_spur(chain)]
        for chain in spurs:
            for place in chain[:-1]:
                for other in self._next.pop(place, set()):
                    self._next.get(other, set()).discard(place)
        return bool(spurs)

    def chains(self) -> Iterator[tuple[np.ndarray, int, int]]:
        """Every branch once, as points (n, 2) and the numbers of its ends; for a ring these are
        the same, and its points don't repeat the first one."""
        seen: set[tuple[int, int]] = set()
        ends = [place for place in sorted(self._next) if len(self._next[place]) != 2]
        for place in [*ends, *sorted(self._next)]:
            for neighbour in sorted(self._next[place]):
                if (place, neighbour) in seen:
                    continue
                chain = self._along(place, neighbour)
                for a, b in itertools.pairwise(chain):
                    seen.update(((a, b), (b, a)))
                points = self._places[chain]
                is_ring = chain[0] == chain[-1]
                yield points[:-1] if is_ring else points, chain[0], chain[-1]

    def _from_free_ends(self) -> list[list[int]]:
        return [
            self._along(place, next(iter(others)))
            for place, others in sorted(self._next.items())
            if len(others) == 1
        ]

    def _along(self, place: int, neighbour: int) -> list[int]:
        """The places from one on by way of a neighbour, up to the next end or fork."""
        chain = [place, neighbour]
        while len(self._next[chain[-1]]) == 2 and chain[-1] != place:
            following = self._next[chain[-1]] - {chain[-2]}
            chain.append(next(iter(following)))
        return chain

    def _is_spur(self, chain: list[int]) -> bool:
        """Whether a chain from a free end stays about within the circle at its other end."""
        foot = chain[-1]
        if len(self._next[foot]) < 3:
            return False
        length = float(step_lengths(self._places[chain]).sum())
        out = length + self._radius[chain[0]] - self._radius[foot]
        return bool(out < min(SPUR * self._radius[foot], MOST_SPUR_MM) + SPUR_MM)


def _inner_ways(shape: Polygon) -> np.ndarray:
    """The short ways (n, 2, 2) of the medial axis that lie inside a shape."""
    rings = [dense(np.vstack([ring, ring[:1]]), SAMPLE_MM)[:-1] for ring in rings_of(shape)]
    cells = shapely.voronoi_polygons(shapely.multipoints(np.vstack(rings)), only_edges=True)
    points, owners = shapely.get_coordinates(shapely.get_parts(cells), return_index=True)
    whole = np.flatnonzero(owners[:-1] == owners[1:])
    ways = np.stack([points[whole], points[whole + 1]], axis=1)
    shapely.prepare(shape)
    inside = shapely.contains_xy(shape, ways[..., 0], ways[..., 1]).all(axis=1)
    return ways[inside]


def _smooth(points: np.ndarray, closed: bool) -> np.ndarray:
    """A line without the small waves that come from the points on the outline; its ends stay."""
    walk = Walk(points, closed)
    count = max(math.ceil(walk.length / _SMOOTH_APART_MM), 2)
    places = walk.at(walk.length * np.arange(count if closed else count + 1) / count)
    over = min(_SMOOTH_OVER, (len(places) - 1) // 2)
    if over < 1:
        return without_repeats(points)
    if closed:
        padded = np.vstack([places[-over:], places, places[:over]])
    else:
        # Turned round its ends, a line keeps them in the mean.
        before, after = (
            2 * places[0] - places[over:0:-1],
            2 * places[-1] - places[-2 : -over - 2 : -1],
        )
        padded = np.vstack([before, places, after])
    weights = np.ones(2 * over + 1) / (2 * over + 1)
    x, y = (np.convolve(padded[:, k], weights, mode="valid") for k in (0, 1))
    return without_repeats(np.stack([x, y], axis=1))


def _run_on(points: np.ndarray, at_first: bool, at_last: bool, shape: Polygon) -> np.ndarray:
    """A line whose free ends go straight on to the outline."""
    if at_first:
        points = np.vstack([_onwards(points[::-1], shape), points])
    if at_last:
        points = np.vstack([points, _onwards(points, shape)])
    return without_repeats(points)


def _onwards(points: np.ndarray, shape: Polygon) -> np.ndarray:
    """Where a line that goes straight on from its last point meets the outline, (1, 2)."""
    walk = Walk(points, closed=False)
    end = points[-1]
    way = unit(end - walk.at(max(walk.length - _END_WAY_MM, 0.0)))
    reach = 4 * float(shapely.distance(shape.boundary, shapely.points(end))) + SAMPLE_MM
    ray = shapely.linestrings([end, end + way * reach])
    left = shapely.intersection(ray, shape)
    parts = [part for part in shapely.get_parts(left) if part.geom_type == "LineString"]
    length = max((part.length for part in parts[:1]), default=0.0)
    return (end + way * length)[None, :]
