"""The template of one hooping at true size: what lies where in the hoop.

It stands as the hoop stands before the machine: the field upright, the block turned a quarter
clockwise in it where the hooping says so. Its coordinates are mm from the middle of the field, the
origin of the hooping's file.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.hoops.frame import FrameSetting
from applique.hoops.plan import Cross, Hooping, HoopingPlan
from applique.model import Frame
from applique.paper.drawing import (
    FAINT,
    INK,
    BoxMm,
    Drawing,
    Group,
    Item,
    PointMm,
    Printout,
    rectangle,
)
from applique.paper.hooping_marks import (
    GRIP_DASH_MM,
    SEAM_DASH_MM,
    Ground,
    Mark,
    arrow_right,
    arrow_up,
    block_words,
    cross_name,
    field_border,
    made_cross,
    middle_of_block,
    middle_of_field,
    used_cross,
)
from applique.paper.hooping_pieces import InHoop, ShownPiece, numbers, outlines, pieces_in_hoop
from applique.paper.letters import shortened
from applique.paper.sizes import SizeMm
from applique.paper.tiles import tiles
from applique.units import compact

AROUND_MM = 8.0
"""How much of the block is shown round the field: room for arrows and for the tape."""

_NAME_MM = 4.2
_NAME_ROOM_MM = 60.0
"""A block's name is cut short beyond this, so that the hooping's number stays on the page."""


def hooping_printout(
    plan: HoopingPlan,
    hooping: Hooping,
    shown: Sequence[ShownPiece],
    setting: FrameSetting,
    paper_mm: SizeMm,
) -> Printout:
    """The template of a hooping on as many pages as it takes. `shown` are all pieces and details of
    the block, from the lowest to the topmost. Raises ValueError for a paper too small for the check
    bars."""
    drawing = hooping_drawing(plan, hooping, shown, setting)
    return Printout(drawing.name, tiles(drawing, paper_mm))


def hooping_drawing(
    plan: HoopingPlan, hooping: Hooping, shown: Sequence[ShownPiece], setting: FrameSetting
) -> Drawing:
    """The template in mm from the middle of the field."""
    matrix = onto_hoop(hooping)
    box = _around(hooping.field.size_mm, AROUND_MM)
    pieces = pieces_in_hoop(shown, hooping, matrix, box)
    marks = _marks(plan, hooping, pieces, box)
    taken = [taken for mark in marks for taken in mark.taken]
    labels, no_room = numbers(pieces, _straight_lines(plan, hooping), taken, box)
    items: list[Item] = [
        *outlines(pieces),
        *_borders(plan, hooping, setting),
        *field_border(hooping.field.size_mm),
        *(item for mark in marks for item in mark.items),
        *labels,
    ]
    told = _told(hooping, setting, no_room)
    window = Group(tuple(items), (0.0, 0.0), box)
    return Drawing(_name(plan, hooping), (window,), box, told)


def onto_hoop(hooping: Hooping) -> np.ndarray:
    """The (2, 3) matrix from mm on the page to mm from the middle of the field, as the hoop stands:
    a quarter turn clockwise, where y runs down, takes (x, y) to (-y, x)."""
    turn = np.array([[0.0, -1.0], [1.0, 0.0]]) if hooping.turned else np.eye(2)
    return np.column_stack([turn, -turn @ np.array(hooping.centre)])


def _name(plan: HoopingPlan, hooping: Hooping) -> str:
    block = shortened(plan.name or "Block", _NAME_MM, _NAME_ROOM_MM, bold=True)
    count = len(plan.hoopings)
    return f"{block}, hooping {hooping.number} of {count}: {hooping.field.name} mm"


def _told(hooping: Hooping, setting: FrameSetting, no_room: Sequence[str]) -> str:
    """How the drawing is to be read, what matters most first: small papers cut it short."""
    told = []
    if hooping.crosses_used:
        told.append("Line up by the crosses in a ring.")
    if hooping.crosses_made:
        told.append("Crosses without a ring are made in this hooping.")
    told.append(
        "Thick lines: sewn in it. Thin grey: sewn before. Grey dots: not yet. Dashes: seam."
    )
    frame, grip = compact(setting.border_mm, 1), compact(setting.grip_mm, 1)
    told.append(f"The frame reaches {frame}, the background at least {grip} mm beyond the field.")
    if no_room:
        told.append(f"No room for the numbers of {', '.join(no_room)}.")
    return " ".join(told)


def _around(size_mm: SizeMm, more_mm: float) -> BoxMm:
    x, y = size_mm[0] / 2 + more_mm, size_mm[1] / 2 + more_mm
    return -x, -y, x, y


def _borders(plan: HoopingPlan, hooping: Hooping, setting: FrameSetting) -> list[Item]:
    """How far the background must reach, and the block's seam line."""
    grip = _around(hooping.field.size_mm, setting.grip_mm)
    items: list[Item] = [rectangle(grip, stroke=FAINT, dash_mm=GRIP_DASH_MM)]
    if plan.frame is not None:
        seam = _seam(plan.frame, hooping)
        items.append(rectangle(seam, stroke=INK, stroke_mm=0.25, dash_mm=SEAM_DASH_MM))
    return items


def _seam(frame: Frame, hooping: Hooping) -> BoxMm:
    """The block's finished rectangle as it lies in the hoop."""
    first = _placed((frame.left, frame.top), hooping)
    second = _placed((frame.right, frame.bottom), hooping)
    low, high = np.minimum(first, second), np.maximum(first, second)
    return (*low.tolist(), *high.tolist())


def _straight_lines(plan: HoopingPlan, hooping: Hooping) -> BaseGeometry:
    """The field's border and the seam line, on which no words are to stand."""
    boxes = [_around(hooping.field.size_mm, 0.0)]
    if plan.frame is not None:
        boxes.append(_seam(plan.frame, hooping))
    return shapely.union_all([shapely.box(*box).boundary for box in boxes])


def _marks(
    plan: HoopingPlan, hooping: Hooping, pieces: Sequence[InHoop], box_mm: BoxMm
) -> list[Mark]:
    """All marks, each name where it is least in the way of what has its place."""
    size = hooping.field.size_mm
    made = _with_places(plan.crosses, hooping.crosses_made, hooping)
    used = _with_places(plan.crosses, hooping.crosses_used, hooping)
    x, y = middle = _placed(plan.block_centre, hooping)
    inside = abs(x) <= size[0] / 2 and abs(y) <= size[1] / 2
    marks = [arrow_up(size), *([arrow_right(size)] if hooping.turned else [])]
    marks += [middle_of_block(middle)] if inside else []
    marks += [middle_of_field(), *(made_cross(place) for _, place in made)]
    marks += [used_cross(place) for _, place in used]
    borders = _straight_lines(plan, hooping)
    edges = np.array([piece.shape.boundary for piece in pieces], dtype=object)
    shapes = np.array([piece.shape for piece in pieces if piece.here], dtype=object)
    ground = Ground(borders, edges, shapes, (), box_mm).and_also(marks)
    for name, place in (*made, *used):
        marks.append(cross_name(name, place, ground))
        ground = ground.and_also(marks[-1:])
    return [*marks, *([block_words(middle, ground)] if inside else [])]


def _with_places(
    every: Sequence[Cross], names: Sequence[str], hooping: Hooping
) -> list[tuple[str, PointMm]]:
    return [(cross.name, _placed(cross.place, hooping)) for cross in every if cross.name in names]


def _placed(place: PointMm, hooping: Hooping) -> PointMm:
    """A place on the page as it lies in the hoop."""
    x, y = (onto_hoop(hooping) @ [*place, 1.0]).tolist()
    return x, y
