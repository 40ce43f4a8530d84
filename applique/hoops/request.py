"""What a user asks of a hooping plan."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from applique.hoops.boxes import grown
from applique.hoops.fields import Field
from applique.hoops.frame import FrameSetting
from applique.hoops.problem import BoxMm, SizeMm
from applique.hoops.sewing import Hold, Order
from applique.hoops.usual import MARGIN_MM, READING_MM

TooLarge = Literal["stretches", "sewing-machine"]
"""What becomes of a piece larger than every field: sewn in stretches, or its edge is sewn on the
sewing machine."""

_WORST_READING_MM = 10.0


@dataclass(frozen=True)
class HoopRequest:
    """The fields owned and how they may be used. `by_machine` are labels of pieces whose edges are
    sewn on the sewing machine in any case; `fixed` gives the hooping, from 1, of some pieces; no
    field may reach into the boxes `keep_out` (left, top, right, bottom of mm on the page).

    Raises ValueError where a margin leaves nothing of a field, or a number is out of range.
    """

    fields: tuple[Field, ...]
    turn: bool = False
    margin_mm: float = MARGIN_MM
    order: Order = "fewest"
    too_large: TooLarge = "stretches"
    by_machine: frozenset[str] = frozenset()
    fixed: Mapping[str, int] = field(default_factory=dict)
    keep_out: tuple[BoxMm, ...] = ()
    reading_mm: float = READING_MM
    hold: Hold = "hooped"
    frame: FrameSetting = field(default_factory=FrameSetting)

    def __post_init__(self) -> None:
        if not self.fields:
            raise ValueError("no field is given; give at least one, as in 130x180")
        if not (math.isfinite(self.margin_mm) and self.margin_mm >= 0):
            raise ValueError(f"the margin must be 0 mm or more, not {self.margin_mm:g}")
        for one in self.fields:
            if min(one.size_mm) <= 2 * self.margin_mm:
                raise ValueError(
                    f"a margin of {self.margin_mm:g} mm leaves nothing of the field {one.name}; "
                    "give a smaller margin"
                )
        if not 0 < self.reading_mm <= _WORST_READING_MM:
            raise ValueError(
                f"a misreading lies between 0 and {_WORST_READING_MM:g} mm, not {self.reading_mm:g}"
            )

    @property
    def kept_out(self) -> tuple[BoxMm, ...]:
        """The boxes that no window may reach into: those to be kept out, and the margin."""
        return tuple(grown(box, self.margin_mm) for box in self.keep_out)

    @property
    def placings(self) -> tuple[Placing, ...]:
        """Every way a field may be used, the smallest first, upright before turned."""
        ways = [Placing(one, False, self._window(one.size_mm)) for one in self.fields]
        if self.turn:
            ways += [
                Placing(one, True, self._window(one.size_mm)[::-1])
                for one in self.fields
                if one.width_mm != one.height_mm
            ]
        area = {way: way.field.width_mm * way.field.height_mm for way in ways}
        return tuple(sorted(dict.fromkeys(ways), key=lambda way: (area[way], way.turned)))

    def _window(self, size_mm: SizeMm) -> SizeMm:
        width, height = size_mm
        return width - 2 * self.margin_mm, height - 2 * self.margin_mm


@dataclass(frozen=True)
class Placing:
    """A field upright or with the block turned in it, and the size its stitches may have, in mm as
    they lie on the block."""

    field: Field
    turned: bool
    window: SizeMm
