"""What stands on the card of a block, as plain objects; `card.py` makes pages of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.model import Curve, Frame
from applique.paper.drawing import BoxMm
from applique.paper.sizes import SizeMm

_MARGIN_MM = 5.0
"""Round the pieces of a block without a frame."""


@dataclass(frozen=True, eq=False)
class CardPiece:
    """A piece of fabric, and a row of the table.

    `curves` is its outline as drawn, empty where it goes on into the seam; `whole` what of it
    belongs to the block with its seam allowance; `cut` the fabric as it is laid, with its underlap,
    in mm on the page; `shown` what of `whole` neither pieces nor details hide. `extra_mm` is how
    much larger all round it is cut, as a patch or to be turned under. `pause` counts the machine's
    pauses from 1, `turn` what is laid at that pause; both are 0 where nothing says when the piece
    is laid. `remark` is for whoever makes the card.
    """

    label: str
    fabric: str
    colour: str
    edge: str
    method: str
    curves: tuple[Curve, ...]
    whole: MultiPolygon
    cut: MultiPolygon
    shown: BaseGeometry
    extra_mm: float = 0.0
    pause: int = 0
    turn: int = 0
    template: str = ""
    template_version: str = ""
    remark: str = ""

    @property
    def size_mm(self) -> SizeMm:
        """Width and height of the fabric as it lies in the block."""
        left, top, right, bottom = self.cut.bounds
        return right - left, bottom - top


@dataclass(frozen=True, eq=False)
class CardDetail:
    """Embroidery without fabric: lines, or a filled shape, in the colour of their thread."""

    label: str
    colour: str
    width_mm: float
    curves: tuple[Curve, ...]
    filled: bool


@dataclass(frozen=True)
class Pause:
    """Where the machine stops for the user: the labels of what is laid and of what is trimmed, in
    order, and what the user wrote there herself."""

    number: int
    laid: tuple[str, ...] = ()
    trimmed: tuple[str, ...] = ()
    words: str = ""


@dataclass(frozen=True, eq=False)
class Card:
    """A block for the table. `stack` holds everything from the lowest to the topmost; `frame` is
    None where nobody said how large the finished block is."""

    name: str
    frame: Frame | None
    background: str
    background_colour: str
    stack: tuple[CardPiece | CardDetail, ...]
    pauses: tuple[Pause, ...] = ()

    @cached_property
    def pieces(self) -> tuple[CardPiece, ...]:
        """The pieces of fabric, the lowest first."""
        return tuple(item for item in self.stack if isinstance(item, CardPiece))

    @property
    def in_laying_order(self) -> tuple[CardPiece, ...]:
        """The pieces as they are laid; last those of which nothing says when."""
        return tuple(sorted(self.pieces, key=lambda p: (p.pause == 0, p.pause, p.turn)))

    @cached_property
    def by_fabric(self) -> dict[str, list[CardPiece]]:
        """The pieces of every fabric in laying order, fabrics by their first piece."""
        rows: dict[str, list[CardPiece]] = {}
        for piece in self.in_laying_order:
            rows.setdefault(piece.fabric, []).append(piece)
        return rows

    @property
    def box_mm(self) -> BoxMm:
        """The block with its seam allowance; without a frame, everything with a little margin."""
        if self.frame is not None:
            f, out = self.frame, self.frame.seam_allowance
            return f.left - out, f.top - out, f.right + out, f.bottom + out
        bounds = [piece.cut.bounds for piece in self.pieces if not piece.cut.is_empty]
        lefts, tops, rights, bottoms = zip(*bounds, strict=True) if bounds else ((0.0,),) * 4
        return (
            min(lefts) - _MARGIN_MM,
            min(tops) - _MARGIN_MM,
            max(rights) + _MARGIN_MM,
            max(bottoms) + _MARGIN_MM,
        )
