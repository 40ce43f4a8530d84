"""Room to hoop: what the frame takes up beyond its field, and what it would clamp on."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.hoops.boxes import grown
from applique.hoops.plan import Hooping, HoopingPlan
from applique.hoops.usual import BORDER_MM, GRIP_MM
from applique.report import Finding, warning
from applique.units import compact

_SEWN_REACH_MM = 2.0
"""An edge stitch is felt about so far beside its line."""

_LARGEST_MM = 300.0


@dataclass(frozen=True)
class FrameSetting:
    """`border_mm` is how far the frame reaches beyond the field on each side, `grip_mm` how far the
    background must. Raises ValueError for what no frame has."""

    border_mm: float = BORDER_MM
    grip_mm: float = GRIP_MM

    def __post_init__(self) -> None:
        for name, value in (("frame-border", self.border_mm), ("grip", self.grip_mm)):
            if not (math.isfinite(value) and 0 <= value <= _LARGEST_MM):
                raise ValueError(f"{name} must lie between 0 and {_LARGEST_MM:g} mm, not {value:g}")


def clamped_on(
    plan: HoopingPlan, edges: Mapping[str, np.ndarray], setting: FrameSetting
) -> list[Finding]:
    """A warning for each hooping whose frame would lie on edges that are sewn already, in the hoop
    or on the sewing machine. `edges` are the penetrations of each piece's edge, (n, 2) of mm on the
    page."""
    points = {label: shapely.MultiPoint(found) for label, found in edges.items()}
    sewn: list[str] = []
    told = []
    for hooping in plan.hoopings:
        ring = _frame(hooping, setting)
        sewn += [
            label
            for label, after in plan.by_machine
            if after == hooping.number - 1 and label in points
        ]
        under = [name for name in sewn if shapely.dwithin(ring, points[name], _SEWN_REACH_MM)]
        if under:
            text = (
                f"its frame would clamp on the sewn edges of {', '.join(dict.fromkeys(under))}; "
                "pad them, or use --baste to sew on hooped stabiliser"
            )
            told.append(warning("clamped", f"hooping {hooping.number}", text, hooping.centre))
        sewn += [label for label in hooping.labels if label in points]
    return told


def background_mm(plan: HoopingPlan, setting: FrameSetting) -> tuple[float, float]:
    """The least width and height of a background, centred on the block, that every frame can
    grip."""
    x, y = plan.block_centre
    boxes = np.array([grown(hooping.field_box_mm, setting.grip_mm) for hooping in plan.hoopings])
    half_width = np.abs(boxes[:, [0, 2]] - x).max()
    half_height = np.abs(boxes[:, [1, 3]] - y).max()
    return 2 * float(half_width), 2 * float(half_height)


def frame_told(hooping: Hooping, setting: FrameSetting) -> str:
    """The outside of a hooping's frame, and the background it must grip, upright."""
    width, height = hooping.field.size_mm
    outside = " x ".join(compact(side + 2 * setting.border_mm, 1) for side in (width, height))
    grip = " x ".join(compact(side + 2 * setting.grip_mm, 1) for side in (width, height))
    return f"frame {outside} mm, grips a background of {grip} mm"


def _frame(hooping: Hooping, setting: FrameSetting) -> BaseGeometry:
    """What lies under the frame itself."""
    field = hooping.field_box_mm
    return shapely.box(*grown(field, setting.border_mm)).difference(shapely.box(*field))
