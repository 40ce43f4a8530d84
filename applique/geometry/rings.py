"""Rings made into clean shapes, and explained when they can't be.

A drawing's sub-paths become one MultiPolygon by the drawing's fill rule: outer rings run
anticlockwise in (x, y), holes clockwise, so that the fabric lies on the left of every ring.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import pyclipper
import shapely
from shapely import LinearRing, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.tangled import check_crossings, check_number

FillRule = Literal["nonzero", "evenodd"]

Path = list[list[int]]
"""Points in whole steps of a grid, as the clipping library has them."""

SNAP_MM = 0.001
"""Grid for all outlines: a hundredth of a frame step. Below it lie only rounding errors."""

SPECK_MM2 = 0.01
"""Rings of less area (0.1 x 0.1 mm, one frame step each way) are no shape at all."""


CRUMB_MM2 = 0.5
"""Parts of less area than this, left by a crossing or by another drawing program beside the shape
proper, can be neither cut nor sewn and are not part of the piece; holes of less are filled."""


@dataclass(frozen=True, eq=False)
class Resolved:
    """Rings as a shape. `origin[i]` is the index of the source ring that ring i of the shape is,
    or None where rings were remade; `crossing` is a place (mm) where the source crossed itself."""

    shape: MultiPolygon
    origin: tuple[int | None, ...]
    crossing: tuple[float, float] | None


def snapped(points: np.ndarray) -> np.ndarray:
    """An (n, 2) closed ring on the 0.001 mm grid, without repeated neighbours."""
    grid = np.round(points / SNAP_MM) * SNAP_MM
    moved = np.any(grid != np.roll(grid, 1, axis=0), axis=1)
    return grid[moved]


def rings_of(shape: BaseGeometry) -> list[np.ndarray]:
    """Every ring of a polygonal shape as an (n, 2) array that does not repeat its first point.

    Each outer ring is followed by its holes; the fabric lies on the left of every ring.
    """
    rings = []
    for polygon in polygons_of(shape):
        rings.append(_directed(polygon.exterior, anticlockwise=True))
        rings.extend(_directed(hole, anticlockwise=False) for hole in polygon.interiors)
    return rings


def polygons_of(shape: BaseGeometry) -> list[Polygon]:
    """The polygons in any geometry, lines and points left aside."""
    return [
        part
        for part in shapely.get_parts(shapely.get_parts(shape))
        if part.geom_type == "Polygon" and not part.is_empty
    ]


def as_multipolygon(shape: BaseGeometry) -> MultiPolygon:
    """The polygonal part of a shape, specks dropped and speck holes filled."""
    return MultiPolygon(
        [
            _without_small_holes(part, SPECK_MM2)
            for part in polygons_of(shape)
            if part.area >= SPECK_MM2
        ]
    )


def _without_small_holes(polygon: Polygon, least_mm2: float) -> Polygon:
    if not polygon.interiors:
        return polygon
    holes = [hole for hole in polygon.interiors if Polygon(hole).area >= least_mm2]
    return Polygon(polygon.exterior, holes) if len(holes) < len(polygon.interiors) else polygon


def resolve(rings: Sequence[np.ndarray], rule: FillRule) -> Resolved:
    """Make a shape of closed rings, (n, 2) arrays of mm, by a fill rule.

    The shape is empty if the rings enclose nothing. Rings that cross or touch are cut apart and
    joined anew on the 0.001 mm grid. Raises TangledError where that would take without end.
    """
    clean = [snapped(ring) for ring in rings]
    usable = [k for k, ring in enumerate(clean) if len(ring) >= 3]
    lines = [LinearRing(clean[k]) for k in usable]
    check_number(lines)
    crossing = crossing_of(lines)
    if crossing is None:
        return _nested([clean[k] for k in usable], usable, rule)
    rings = [clean[k] for k in usable]
    check_crossings(rings)
    shape = _clipped(rings, rule)
    return Resolved(shape, tuple(None for _ in rings_of(shape)), crossing)


def _directed(ring: LinearRing, anticlockwise: bool) -> np.ndarray:
    points = shapely.get_coordinates(ring)[:-1]
    return points if ring.is_ccw == anticlockwise else points[::-1]


def crossing_of(lines: Sequence[LinearRing]) -> tuple[float, float] | None:
    """A place where rings cross or touch themselves or each other, or None."""
    for line in lines:
        if not line.is_simple:
            reason = shapely.is_valid_reason(Polygon(line))
            match = re.search(r"\[(\S+) (\S+)\]", reason)
            place = match.groups() if match else line.coords[0]
            return float(place[0]), float(place[1])
    if len(lines) < 2:
        return None
    first, second = shapely.STRtree(lines).query(lines, predicate="intersects")
    for a, b in zip(first, second, strict=True):
        if a < b:
            point = shapely.get_coordinates(lines[a].intersection(lines[b]))[0]
            return float(point[0]), float(point[1])
    return None


def _nested(rings: list[np.ndarray], index: list[int], rule: FillRule) -> Resolved:
    """Rings that neither cross nor touch: filled or not by how they lie in one another."""
    solids = [Polygon(ring) for ring in rings]
    keep = [solid.area >= SPECK_MM2 for solid in solids]
    containers = _containers(solids)
    turning = [1 if LinearRing(ring).is_ccw else -1 for ring in rings]

    def filled_inside(k: int) -> bool:
        around = containers[k]
        if rule == "evenodd":
            return len(around) % 2 == 0
        return turning[k] + sum(turning[c] for c in around) != 0

    def filled_outside(k: int) -> bool:
        around = containers[k]
        if rule == "evenodd":
            return len(around) % 2 == 1
        return sum(turning[c] for c in around) != 0

    outers = [k for k in range(len(rings)) if keep[k] and filled_inside(k) > filled_outside(k)]
    holes = [k for k in range(len(rings)) if keep[k] and filled_outside(k) > filled_inside(k)]
    if len(outers) > 1:
        least = min(CRUMB_MM2, max(solids[k].area for k in outers))
        outers = [k for k in outers if solids[k].area >= least]
    holes = [k for k in holes if solids[k].area >= CRUMB_MM2]
    polygons, origin = [], []
    for outer in outers:
        inner = [k for k in holes if _owner(k, outers, containers) == outer]
        polygons.append(Polygon(rings[outer], [rings[k] for k in inner]))
        origin.extend([index[outer], *(index[k] for k in inner)])
    return Resolved(MultiPolygon(polygons), tuple(origin), None)


def _containers(solids: list[Polygon]) -> list[list[int]]:
    """For each ring the rings around it, the outermost first."""
    around: list[list[int]] = [[] for _ in solids]
    if len(solids) > 1:
        inner, outer = shapely.STRtree(solids).query(solids, predicate="within")
        for k, c in zip(inner, outer, strict=True):
            if k != c:
                around[k].append(int(c))
    return [sorted(found, key=lambda c: -solids[c].area) for found in around]


def _owner(hole: int, outers: list[int], containers: list[list[int]]) -> int | None:
    """The innermost filled ring around a hole."""
    around = [c for c in containers[hole] if c in outers]
    return around[-1] if around else None


def _clipped(rings: list[np.ndarray], rule: FillRule) -> MultiPolygon:
    """Resolve crossing rings exactly, on the integer grid of micrometres."""
    clipper = pyclipper.Pyclipper()
    clipper.StrictlySimple = True
    added = False
    for ring in rings:
        path = np.round(ring / SNAP_MM).astype(np.int64).tolist()
        try:
            clipper.AddPath(path, pyclipper.PT_SUBJECT, True)
            added = True
        except pyclipper.ClipperException:
            continue  # a ring that encloses nothing
    if not added:
        return MultiPolygon()
    fill = pyclipper.PFT_NONZERO if rule == "nonzero" else pyclipper.PFT_EVENODD
    tree = clipper.Execute2(pyclipper.CT_UNION, fill, fill)
    parts = as_multipolygon(MultiPolygon(polygons_of_tree(tree, SNAP_MM)))
    # Crumbs that a crossing leaves can be neither cut nor sewn.
    whole = [part for part in parts.geoms if part.area >= CRUMB_MM2]
    return MultiPolygon([_without_small_holes(part, CRUMB_MM2) for part in whole])


def polygons_of_tree(tree: pyclipper.PyPolyNode, grid_mm: float) -> list[Polygon]:
    """The polygons that the clipping library found on an integer grid of so many mm."""
    polygons = [
        Polygon(np.asarray(outer) * grid_mm, [np.asarray(hole) * grid_mm for hole in holes])
        for outer, holes in _outers_with_holes(tree)
    ]
    # Rounding of crossing points to the grid may leave a touch; make_valid mends it.
    valid = shapely.make_valid(MultiPolygon(polygons), method="structure", keep_collapsed=False)
    return polygons_of(valid)


def _outers_with_holes(node: pyclipper.PyPolyNode) -> Iterator[tuple[Path, list[Path]]]:
    for outer in node.Childs:
        yield outer.Contour, [hole.Contour for hole in outer.Childs]
        for hole in outer.Childs:
            yield from _outers_with_holes(hole)
