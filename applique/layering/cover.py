"""What lies above a piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.offset import arc_segments
from applique.model import EMPTY, Frame, Piece

SEAM_TOLERANCE_MM = 0.3
"""An outline this near to the seam line lies on it: half of what a seam is sewn true to."""


@dataclass(frozen=True, eq=False)
class Cover:
    """The pieces that hide part of a piece: which, their union, and the union grown to touch.

    `close` are those that only come close enough for edges to meet; `near` is the union of all.
    """

    pieces: tuple[Piece, ...]
    close: tuple[Piece, ...]
    union: BaseGeometry
    touching: BaseGeometry
    near: BaseGeometry


@dataclass(frozen=True)
class Neighbours:
    """Indices of the pieces above one piece, in stacking order: those that hide part of it or
    touch it, and those that only come near its edge."""

    hiding: tuple[int, ...]
    close: tuple[int, ...]


def neighbours(pieces: Sequence[Piece]) -> tuple[Neighbours, ...]:
    """The neighbours of every piece of a block."""
    count = len(pieces)
    shapes = np.array([piece.outline.shape for piece in pieces], dtype=object)
    touch = np.array([piece.settings.touch_mm for piece in pieces])
    reach = np.array([piece.settings.edge_outside_mm for piece in pieces])
    tree = shapely.STRtree(shapes)
    hiding: list[set[int]] = [set() for _ in range(count)]
    close: list[set[int]] = [set() for _ in range(count)]
    for distance, found in ((touch, hiding), (np.maximum(touch, reach), close)):
        first, second = tree.query(shapes, predicate="dwithin", distance=distance)
        for lower, upper in zip(first.tolist(), second.tolist(), strict=True):
            if lower < upper:
                found[lower].add(upper)
    return tuple(
        Neighbours(tuple(sorted(hiding[k])), tuple(sorted(close[k] - hiding[k])))
        for k in range(count)
    )


def cover_of(piece: Piece, hiding: Sequence[Piece], close: Sequence[Piece]) -> Cover:
    """What lies above a piece: `hiding` pieces hide part of it, `close` ones only come near."""
    union = shapely.union_all([upper.outline.shape for upper in hiding]) if hiding else EMPTY
    touch = piece.settings.touch_mm
    touching = union
    if hiding and touch > 0:
        touching = shapely.buffer(union, touch, quad_segs=arc_segments(touch))
    near = union
    if close:
        near = shapely.union_all([union, *(upper.outline.shape for upper in close)])
    return Cover(tuple(hiding), tuple(close), union, touching, near)


def within_seams(frame: Frame) -> BaseGeometry:
    """The finished block without its seam lines: what lies on these or beyond goes into a seam."""
    near = SEAM_TOLERANCE_MM
    return shapely.box(frame.left + near, frame.top + near, frame.right - near, frame.bottom - near)
