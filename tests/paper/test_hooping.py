"""What the template of a hooping shows, and how."""

from typing import Any

import numpy as np

from applique.hoops.fields import Field
from applique.hoops.frame import FrameSetting
from applique.hoops.plan import HoopingPlan
from applique.paper.drawing import Drawing, Group, Item, Path, Text
from applique.paper.hooping import hooping_drawing, hooping_printout
from applique.paper.hooping_pieces import ShownPiece
from applique.paper.sizes import sheet_mm
from tests.paper.hooping_case import (
    CENTRE,
    CROSSES,
    SAIL,
    SETTING,
    SHOWN,
    SMALL,
    outline,
    plan_with,
)


def items_of(drawing: Drawing) -> list[Item]:
    (window,) = drawing.items
    assert isinstance(window, Group)
    assert window.clip_mm == drawing.box_mm
    return list(window.items)


def drawn(plan: HoopingPlan, number: int = 2, setting: FrameSetting = SETTING, shown: Any = SHOWN):
    return hooping_drawing(plan, plan.hoopings[number - 1], shown, setting)


def words_of(drawing: Drawing) -> dict[str, Text]:
    return {item.text: item for item in items_of(drawing) if isinstance(item, Text)}


def test_arrows_say_what_is_up() -> None:
    straight, turned = (words_of(drawn(plan_with(SMALL, turn))) for turn in (False, True))
    assert "top of the hoop" in straight and "top of the hoop" in turned
    assert "top of the block" not in straight
    # In the band of 8 mm above and right of the field; turned words stand upright from the right.
    x, y = turned["top of the hoop"].place_mm
    assert -65.0 < x < 0.0 and -98.0 < y < -90.0
    x, y = turned["top of the block"].place_mm
    assert 65.0 < x < 73.0 and turned["top of the block"].angle_degrees == 90.0


def test_the_middle_of_the_block_is_shown_where_it_is_in_the_field() -> None:
    plan = plan_with(SMALL, False)
    assert "middle of the block" in words_of(drawn(plan))
    elsewhere = HoopingPlan(**{**vars(plan), "block_centre": (250.0, 210.0)})
    assert "middle of the block" not in words_of(drawn(elsewhere))


def test_the_title_names_block_hooping_and_field() -> None:
    drawing = drawn(plan_with(SMALL, False))
    assert drawing.name == "Sailboat, hooping 2 of 3: 130x180 mm"
    assert drawing.box_mm == (-73.0, -98.0, 73.0, 98.0)
    plan = plan_with(SMALL, False)
    long = HoopingPlan(**{**vars(plan), "name": "A very long name of a block " * 4})
    printout = hooping_printout(long, long.hoopings[1], SHOWN, SETTING, sheet_mm("letter"))
    assert "…, hooping 2 of 3: 130x180 mm" in printout.pages[0].name


def test_what_is_sewn_here_is_strong_what_was_is_thin_and_what_comes_is_dotted() -> None:
    drawing = drawn(plan_with(SMALL, False))
    looks = {
        len(item.curves[0].segments): (item.stroke_mm, bool(item.dash_mm))
        for item in items_of(drawing)
        if isinstance(item, Path) and len(item.curves) == 1 and not item.fill
    }
    assert looks[5] == (0.5, False)
    assert looks[6] == (0.2, False)
    assert looks[3] == (0.2, True)
    assert "Thick lines: sewn in it." in drawing.told
    words = words_of(drawing)
    assert words["hull"].bold and words["hull"].size_mm == 4.6
    assert not words["rock"].bold and words["rock"].size_mm == 2.4


def test_a_piece_that_several_hoopings_sew_is_strong_in_each() -> None:
    plan = plan_with(SMALL, False, labels=("hull", "rock"))
    words = words_of(drawn(plan))
    assert words["rock"].bold and words["hull"].bold


def test_crosses_to_line_up_by_have_a_ring_and_those_of_others_are_left_out() -> None:
    drawing = drawn(plan_with(SMALL, False))
    names = set(words_of(drawing))
    assert {"A", "B"} <= names and "C" not in names
    rings = [
        item.curves[0].segments[:, 0].mean(axis=0) + CENTRE
        for item in items_of(drawing)
        if isinstance(item, Path) and len(item.curves[0].segments) == 4 and not item.fill
        and not item.curves[0].straight.any() and item.stroke != "#ffffff"
    ]  # fmt: skip
    assert [tuple(ring.round(6).tolist()) for ring in rings] == [CROSSES["A"]]
    assert drawing.told.startswith("Line up by the crosses in a ring. Crosses without a ring are")
    assert "ring" not in drawn(plan_with(SMALL, False), 1).told.split("without")[0]


def test_borders_of_grip_and_seam_are_drawn_and_told() -> None:
    drawing = drawn(plan_with(SMALL, False), setting=FrameSetting(12.0, 5.0))
    dashed = {
        item.dash_mm: item.curves[0].segments[:, 0] for item in items_of(drawing)
        if isinstance(item, Path) and item.dash_mm and item.curves[0].straight.all()
    }  # fmt: skip
    grip, seam = dashed[5.0, 1.5, 0.3, 1.5], dashed[6.0, 2.0]
    assert grip.max(axis=0).tolist() == [70.0, 95.0]
    assert (seam[0] + CENTRE).tolist() == [60.0, 90.0]
    assert "The frame reaches 12, the background at least 5 mm beyond the field." in drawing.told


def test_numbers_without_room_are_told() -> None:
    square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    crowd = tuple(
        ShownPiece(
            f"a-very-long-name-{k}", "#7d7f80", outline(square + np.array([165 + 3 * k, 212])), 2
        )
        for k in range(12)
    )
    told = drawn(plan_with(Field(30.0, 20.0), False), shown=crowd).told
    assert "No room for the numbers of a-very-long-name-" in told


def test_open_lines_and_what_lies_elsewhere() -> None:
    thread = ShownPiece(
        "rope", "#333333", outline(np.array([[170.0, 190.0], [200.0, 200.0]]), False), 2
    )
    far = ShownPiece("far", "#333333", outline(SAIL + 500.0), 2)
    drawing = drawn(plan_with(SMALL, False), shown=(thread, far))
    names = set(words_of(drawing))
    assert "rope" in names and "far" not in names
