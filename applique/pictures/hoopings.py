"""The overview of a hooping plan: every field over the block, and a legend of them below."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import shapely
from PIL import Image
from shapely.geometry.base import BaseGeometry

from applique.hoops.frame import FrameSetting, background_mm
from applique.hoops.plan import HoopingPlan
from applique.pictures.canvas import Area, Canvas, area_round
from applique.pictures.colours import (
    BLACK,
    HOOPING_COLOURS,
    INK,
    PAPER,
    QUIET,
    WHITE,
    Colour,
    hooping_colour,
    mixed,
    rgb,
)
from applique.pictures.hooping_legend import draw_tag, hoopings_legend
from applique.pictures.hooping_tags import place_names, place_tags
from applique.pictures.png import png_bytes
from applique.pictures.scene import MARGIN_MM, FabricShape
from applique.pictures.words import write_over

_PALE = 0.72
"""How much white is in the fabrics."""

_TINT = 0.35
"""How much of its hooping's colour is in a piece."""

_FIELD_PX = 8.0
_CASING_PX = 13.0
_LIGHT_PX = 2.5
_PIECE_PX = 4.0
_SEAM_PX = 4.0
_CROSS_PX = 5.0
_CROSS_ARM_PX = 26.0
_NAME_PX = 34.0
_TAG_PX = 104.0
_NUMBER_PX = 62.0

_SEAM_DASH_PX = (34.0, 18.0)
_GRIP_DASH_PX = (34.0, 16.0, 4.0, 16.0)


def hoopings_picture(
    plan: HoopingPlan, fabrics: Sequence[FabricShape], background: str, setting: FrameSetting
) -> bytes:
    """A PNG of all fields over the block, with numbers, crosses and a legend.

    `fabrics` are in stacking order, `background` is #rrggbb, and `setting` says how far the
    background must reach beyond every field: a dash-dot line shows how much all hoopings need.
    Raises ValueError for a plan without hoopings.
    """
    if not plan.hoopings:
        raise ValueError("a plan without hoopings has no picture")
    needed = _needed(plan, setting)
    canvas = Canvas(_area(plan, fabrics, needed), PAPER)
    _draw_block(canvas, plan, fabrics, background, needed)
    _draw_fields(canvas, plan)
    side, arm, height = (px / canvas.px_per_mm for px in (_TAG_PX, _CROSS_ARM_PX, _NAME_PX))
    tags = place_tags(plan.hoopings, plan.crosses, side, arm)
    _draw_crosses(canvas, plan, arm)
    for tag in tags:
        draw_tag(canvas, tag, _NUMBER_PX)
    for name in place_names(plan.crosses, tags, height, arm):
        write_over(canvas, name.name, name.middle, _NAME_PX)
    look = canvas.finished()
    labels = frozenset(fabric.label for fabric in fabrics)
    legend = hoopings_legend(plan, labels, needed.bounds, look.width)
    sheet = Image.new("RGB", (legend.width, look.height + legend.height), PAPER)
    sheet.paste(look, ((legend.width - look.width) // 2, 0))
    sheet.paste(legend, (0, look.height))
    return png_bytes(sheet)


def _needed(plan: HoopingPlan, setting: FrameSetting) -> BaseGeometry:
    """The least background, the block in its middle."""
    width, height = background_mm(plan, setting)
    x, y = plan.block_centre
    return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def _area(plan: HoopingPlan, fabrics: Sequence[FabricShape], needed: BaseGeometry) -> Area:
    shapes = [needed, *(fabric.shape for fabric in fabrics), *_seam(plan)]
    left, top, right, bottom = shapely.total_bounds(np.array(shapes, dtype=object)).tolist()
    return area_round((left, top, right, bottom), MARGIN_MM)


def _seam(plan: HoopingPlan) -> list[BaseGeometry]:
    """The block's finished rectangle, if it is known."""
    frame = plan.frame
    if frame is None:
        return []
    return [shapely.box(frame.left, frame.top, frame.right, frame.bottom)]


def _draw_block(
    canvas: Canvas,
    plan: HoopingPlan,
    fabrics: Sequence[FabricShape],
    background: str,
    needed: BaseGeometry,
) -> None:
    """Background and fabrics, pale, those of a hooping in a tint of its colour."""
    canvas.polygon(needed, mixed(rgb(background), WHITE, _PALE))
    _dashed(canvas, needed, _GRIP_DASH_PX, QUIET)
    first: dict[str, int] = {}
    for hooping in plan.hoopings:
        for label in hooping.labels:
            first.setdefault(label, hooping.number)
    for fabric in fabrics:
        fill = mixed(rgb(fabric.colour), WHITE, _PALE)
        edge = QUIET
        if fabric.label in first:
            edge = hooping_colour(first[fabric.label])
            fill = mixed(fill, edge, _TINT)
        canvas.polygon(fabric.shape, fill)
        canvas.outline(fabric.shape, _PIECE_PX, edge)
    for seam in _seam(plan):
        _dashed(canvas, seam, _SEAM_DASH_PX, INK)


def _dashed(canvas: Canvas, box: BaseGeometry, dash_px: tuple[float, ...], colour: Colour) -> None:
    """A rectangle's sides in dashes and gaps; each side begins and ends with a dash of its own."""
    corners = shapely.get_coordinates(box)
    for start, end in itertools.pairwise(corners):
        length = float(np.hypot(*(end - start)))
        at, on = 0.0, True
        for step in itertools.cycle(np.array(dash_px) / canvas.px_per_mm):
            if on:
                ends = np.array([at, min(at + step, length)]) / length
                canvas.line(
                    start + ends[:, None] * (end - start), _SEAM_PX / canvas.px_per_mm, colour
                )
            at, on = at + step, not on
            if at >= length:
                break


def _draw_fields(canvas: Canvas, plan: HoopingPlan) -> None:
    """Every field's border in its colour, with a dark rim and, where the colours begin again, a
    light middle. Where it would lie on another's it is drawn further in."""
    width = _CASING_PX / canvas.px_per_mm
    boxes = np.array([hooping.field_box_mm for hooping in plan.hoopings])
    for hooping, box in zip(plan.hoopings, _side_by_side(boxes, width), strict=True):
        ring = shapely.box(*box)
        colour = hooping_colour(hooping.number)
        canvas.outline(ring, _CASING_PX, mixed(colour, BLACK, 0.55))
        canvas.outline(ring, _FIELD_PX, colour)
        if hooping.number > len(HOOPING_COLOURS):
            canvas.outline(ring, _LIGHT_PX, WHITE)


def _side_by_side(boxes: np.ndarray, width_mm: float) -> np.ndarray:
    """Boxes (n, 4) with sides moved inwards by a line's width for every earlier one that they lie
    on."""
    moved = boxes.copy()
    for k, box in enumerate(boxes):
        for side, inwards in enumerate((1.0, 1.0, -1.0, -1.0)):
            axis, other = side % 2, 1 - side % 2
            near = np.abs(boxes[:k, [axis, axis + 2]] - box[side]) < width_mm
            beside = (boxes[:k, other] < box[other + 2]) & (boxes[:k, other + 2] > box[other])
            moved[k, side] += inwards * width_mm * int((near.any(axis=1) & beside).sum())
    return moved


def _draw_crosses(canvas: Canvas, plan: HoopingPlan, arm_mm: float) -> None:
    width = _CROSS_PX / canvas.px_per_mm
    for cross in plan.crosses:
        middle = np.array(cross.place)
        ways = np.array([[arm_mm, 0.0], [0.0, arm_mm]])
        passes = [(2.4 * width, WHITE), (width, INK)]
        for stroke in passes:
            canvas.strokes(middle - ways, middle + ways, [stroke])
