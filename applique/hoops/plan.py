"""The hooping plan: what is sewn in which hooping, where it lies, and how it is lined up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from applique.hoops.boxes import box_round
from applique.hoops.fields import Field
from applique.hoops.problem import BoxMm, Certificate, SizeMm
from applique.model import Frame, Step

Making = Literal["thread", "needle", "pen"]
"""How a cross comes onto the block: sewn, pricked with an unthreaded needle, or drawn by hand."""


@dataclass(frozen=True)
class Cross:
    """A cross that two or more hoopings share. `place` is its middle in mm on the page; `made_in`
    the number of the hooping that makes it; of a drawn one 0 where it is drawn before the first
    hooping, else that before which it is drawn. `used_in` are those lined up by it."""

    name: str
    place: tuple[float, float]
    making: Making
    made_in: int
    used_in: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class Hooping:
    """One hooping. `number` counts from 1, in sewing order.

    `centre` is the middle of its field in mm on the page, and the origin of its file; `turned` says
    that the block lies turned in the frame, by a quarter clockwise as seen from above. `labels` are
    the pieces and details sewn in it, `continued` those of them that an earlier hooping began.
    `steps` are its stitches in sewing order, in mm on the page, crosses and box included.
    `error_mm` is how far its farthest stitch is to be expected from its place; 0 in the first.
    """

    number: int
    field: Field
    turned: bool
    centre: tuple[float, float]
    labels: tuple[str, ...]
    continued: tuple[str, ...]
    steps: tuple[Step, ...]
    crosses_made: tuple[str, ...]
    crosses_used: tuple[str, ...]
    error_mm: float

    @property
    def field_box_mm(self) -> BoxMm:
        """The field as it lies on the block."""
        size = self.field.size_mm[::-1] if self.turned else self.field.size_mm
        return box_round(self.centre, size)


@dataclass(frozen=True, eq=False)
class HoopingPlan:
    """All hoopings of a block, in order. `parts` names what the certificate's weights belong to,
    one by one, `boxes` are their stitches, and `windows` the sizes they are shared out among.
    `below` are the indices of the parts that go into the same hooping as each or an earlier one,
    `apart` of those that go into an earlier one. `bound` hoopings are certainly needed for them.
    `by_machine` are the pieces whose edges are sewn on the sewing machine, each with the hooping
    after which that is done."""

    name: str
    frame: Frame | None
    block_centre: tuple[float, float]
    hoopings: tuple[Hooping, ...]
    crosses: tuple[Cross, ...]
    parts: tuple[str, ...]
    certificate: Certificate
    bound: int
    finished: bool
    by_machine: tuple[tuple[str, int], ...] = ()
    boxes: tuple[BoxMm, ...] = ()
    windows: tuple[SizeMm, ...] = ()
    below: tuple[tuple[int, ...], ...] = ()
    apart: tuple[tuple[int, ...], ...] = ()

    @property
    def in_stretches(self) -> bool:
        """Whether some pieces are sewn in stretches: the bound holds for them as divided."""
        labels = {label for hooping in self.hoopings for label in hooping.labels}
        return not labels.issuperset(self.parts)
