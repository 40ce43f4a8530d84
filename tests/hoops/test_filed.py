"""A hooping's file: around the middle of its field, on the steps of the block's own file."""

import numpy as np
import pytest

from applique.errors import OutputError
from applique.export.machine import machine_file
from applique.hoops.fields import Field
from applique.hoops.filed import centre_on_steps, file_plan, on_steps
from applique.hoops.plan import Hooping
from applique.model import Step, Thread
from tests.export.tape import decode

BLOCK = (139.75, 139.7)


def hooping(points: list[tuple[float, float]], turned: bool = False) -> Hooping:
    step = Step("edge", "1", Thread("#b2392f"), (np.array(points, dtype=float),), ("trim",))
    return Hooping(
        number=1,
        field=Field(130.0, 180.0),
        turned=turned,
        centre=centre_on_steps((100.0, 100.0), BLOCK),
        labels=("1",),
        continued=(),
        steps=(step,),
        crosses_made=(),
        crosses_used=(),
        error_mm=0.0,
    )


def test_halves_go_away_from_the_blocks_centre() -> None:
    x, y = BLOCK
    points = np.array([[x + 0.05, y - 0.05], [x - 0.24, y + 0.26]])
    assert on_steps(points, BLOCK) - np.array(BLOCK) == pytest.approx(
        np.array([[0.1, -0.1], [-0.2, 0.3]])
    )


def test_a_turned_block_lies_a_quarter_clockwise() -> None:
    x, y = centre_on_steps((100.0, 100.0), BLOCK)
    # Two places: 10 mm above the middle, and 20 mm to its right. y runs down.
    made = hooping([(x, y - 10), (x + 5, y - 5), (x + 10, y), (x + 20, y)], turned=True)
    tape = decode(machine_file(file_plan(made, "x", BLOCK), "dst").data)
    # What was above is on the right, what was right is below.
    assert tape.stitches[0] == (100, 0)
    assert tape.stitches[-1] == (0, 200)


def test_a_stitch_outside_the_field_is_refused() -> None:
    x, y = centre_on_steps((100.0, 100.0), BLOCK)
    file_plan(hooping([(x, y), (x + 65, y), (x, y + 90)]), "x", BLOCK)
    with pytest.raises(
        OutputError, match="hooping 1: a stitch would lie outside the field 130x180"
    ):
        file_plan(hooping([(x, y), (x + 65.2, y)]), "x", BLOCK)
    # Turned, the sides change places.
    file_plan(hooping([(x, y), (x + 90, y)], turned=True), "x", BLOCK)
