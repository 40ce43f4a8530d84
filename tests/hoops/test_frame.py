"""Room to hoop: worked by hand."""

import numpy as np
import pytest

from applique.hoops.fields import Field
from applique.hoops.frame import FrameSetting, background_mm, clamped_on, frame_told
from applique.hoops.plan import Hooping, HoopingPlan
from applique.hoops.problem import Certificate


def hooping(
    number: int, centre: tuple[float, float], *labels: str, turned: bool = False
) -> Hooping:
    return Hooping(
        number=number,
        field=Field(130.0, 180.0),
        turned=turned,
        centre=centre,
        labels=labels,
        continued=(),
        steps=(),
        crosses_made=(),
        crosses_used=(),
        error_mm=0.0,
    )


def plan(*hoopings: Hooping) -> HoopingPlan:
    return HoopingPlan(
        name="",
        frame=None,
        block_centre=(100.0, 100.0),
        hoopings=hoopings,
        crosses=(),
        parts=(),
        certificate=Certificate((), 1),
        bound=1,
        finished=True,
    )


def test_the_background_reaches_an_inch_beyond_every_field() -> None:
    # 100 + 65 + 25.4 to the right of a centre at 100; 90 + 25.4 above and below.
    assert background_mm(plan(hooping(1, (100, 100))), FrameSetting()) == pytest.approx(
        (130 + 50.8, 180 + 50.8)
    )
    # One that lies 40 mm to the right needs as much on the left: the block stays in the middle.
    assert background_mm(plan(hooping(1, (140, 100))), FrameSetting()) == pytest.approx(
        (130 + 80 + 50.8, 180 + 50.8)
    )
    turned = plan(hooping(1, (100, 100), turned=True))
    assert background_mm(turned, FrameSetting()) == pytest.approx((180 + 50.8, 130 + 50.8))


def test_what_a_frame_would_clamp_is_told() -> None:
    first, second = hooping(1, (60, 100), "1", "2"), hooping(2, (180, 100), "3")
    # The second frame lies from x = 90 to 115 on its left: on the edge of 2, not of 1.
    edges = {"1": np.array([[40.0, 100.0], [60.0, 100.0]]), "2": np.array([[95.0, 100.0]])}
    [finding] = clamped_on(plan(first, second), edges, FrameSetting(25.0))
    assert finding.object == "hooping 2" and "edges of 2;" in finding.message
    assert clamped_on(plan(first, second), edges, FrameSetting(15.0)) == []
    # What is sewn in the hooping itself is not clamped by it.
    assert clamped_on(plan(second), {"3": np.array([[95.0, 100.0]])}, FrameSetting(25.0)) == []


def test_the_outside_is_told_upright() -> None:
    words = frame_told(hooping(1, (0, 0), turned=True), FrameSetting(20.0, 25.4))
    assert words == "frame 170 x 220 mm, grips a background of 180.8 x 230.8 mm"


@pytest.mark.parametrize("value", [-1.0, 301.0, float("nan"), float("inf")])
def test_no_frame_is_like_that(value: float) -> None:
    with pytest.raises(ValueError, match="frame-border"):
        FrameSetting(value)
    with pytest.raises(ValueError, match="grip"):
        FrameSetting(20.0, value)
