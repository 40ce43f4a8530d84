"""Where nothing of a piece's edge will be seen in the finished block."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.offset import arc_segments
from applique.model import EMPTY, Frame, Laid, LaidPiece
from applique.proof.band import edge_lines

_BEYOND_MM = 20.0
"""How far round a piece what does not show is of interest: more than any edge reaches (a setting
may put 4 mm outside)."""


@dataclass(frozen=True, eq=False)
class Unseen:
    """`bare` is where an edge need not cover, `strewn` where its thread may lie beyond its band,
    because neither will show. They differ by where no thread may be sewn at all."""

    bare: BaseGeometry = EMPTY
    strewn: BaseGeometry = EMPTY


def unseen_of(laid: Mapping[str, Laid], frame: Frame | None) -> dict[str, Unseen]:
    """What is not seen of each piece of a block, by label; `laid` stands in stacking order."""
    pieces = [item for item in laid.values() if isinstance(item, LaidPiece)]
    shapes = [piece.piece.outline.shape for piece in pieces]
    tree = shapely.STRtree(shapes)
    found = {}
    for k, piece in enumerate(pieces):
        near = tree.query(shapes[k], predicate="dwithin", distance=_BEYOND_MM)
        uppers = [pieces[i] for i in sorted(near.tolist()) if i > k]
        found[piece.piece.label] = unseen(piece, uppers, frame)
    return found


def unseen(piece: LaidPiece, uppers: Sequence[LaidPiece], frame: Frame | None) -> Unseen:
    """What is not seen of one piece: what lies under the pieces above it, under the satin of their
    edges, or beyond the seam lines. `uppers` are the pieces above that are near."""
    covered = [_satin_outside(upper) for upper in uppers if upper.piece.settings.edge_covers]
    beyond = [] if frame is None else [_beyond_seams(piece, frame)]
    fabric = piece.above.difference(piece.barred)
    return Unseen(
        bare=shapely.union_all([piece.above, piece.barred, *covered, *beyond]),
        strewn=shapely.union_all([fabric, *covered, *beyond]),
    )


def _satin_outside(upper: LaidPiece) -> BaseGeometry:
    """What a satin hides beside its piece, its pull compensation not counted."""
    outside = upper.piece.settings.edge_outside_mm
    return shapely.buffer(
        edge_lines(upper.edges), outside, quad_segs=arc_segments(outside), cap_style="flat"
    )


def _beyond_seams(piece: LaidPiece, frame: Frame) -> BaseGeometry:
    block = shapely.box(frame.left, frame.top, frame.right, frame.bottom)
    left, top, right, bottom = piece.piece.outline.shape.bounds
    around = shapely.box(
        left - _BEYOND_MM, top - _BEYOND_MM, right + _BEYOND_MM, bottom + _BEYOND_MM
    )
    return around.difference(block)
