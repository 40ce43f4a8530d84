"""What a user asks of cut sheets, and what makes no sense."""

import math

import pytest
import shapely

from applique.cutting.nested import Stock, rectangle
from applique.cutting.request import CutRequest, Scrap
from applique.cutting.usual import GAP_MM

SMALL = rectangle("small", 100.0, 40.0)


def test_what_is_usual() -> None:
    request = CutRequest()
    assert [sheet.size_mm for sheet in request.sheets] == [(305.0, 305.0)]  # 12 x 12 in.
    assert (request.margin_mm, request.gap_mm, request.face, request.copies) == (
        6.0,
        3.0,
        "wrong",
        1,
    )
    assert GAP_MM["scissors"] == 12.7  # 1/2 in between rough cuts (docs/sources.md).
    assert request.usable_width_mm == pytest.approx(1016.0)  # 40 in.


@pytest.mark.parametrize(
    ("given", "complaint"),
    [
        ({"copies": 0}, "copies lie between 1 and 1000, not 0"),
        ({"copies": 1001}, "copies lie between 1 and 1000, not 1001"),
        ({"margin_mm": -1.0}, "the margin lies between 0 and 100 mm, not -1"),
        ({"gap_mm": 100.5}, "the gap lies between 0 and 100 mm, not 100.5"),
        ({"gap_mm": math.nan}, "the gap lies between 0 and 100 mm, not nan"),
        ({"margin_mm": math.inf}, "the margin lies between 0 and 100 mm, not inf"),
        ({"sheets": (SMALL,), "margin_mm": 20.0}, "20 mm leaves nothing of the sheet small"),
    ],
)
def test_what_makes_no_sense_is_refused(given, complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        CutRequest(**given)


def test_a_margin_may_leave_little() -> None:
    assert CutRequest(sheets=(SMALL,), margin_mm=19.9).margin_mm == 19.9


def test_scraps_are_offered_to_their_own_fabric_and_those_of_none_to_all() -> None:
    triangle = shapely.Polygon([(0, 0), (90, 0), (0, 90)])
    blue = Scrap("sea blue", Stock("blue corner", triangle, 1))
    any_fabric = Scrap("", Stock("corner", triangle, 1))
    request = CutRequest(sheets=(SMALL,), scraps=(blue, any_fabric))
    assert [it.name for it in request.scraps_for("sea blue")] == ["blue corner", "corner"]
    assert [it.name for it in request.scraps_for("sand")] == ["corner"]


def test_a_scrap_is_not_shared_by_fabrics() -> None:
    scrap = Scrap("", Stock("corner", SMALL.shape, 1))
    with pytest.raises(ValueError, match="is of one fabric and can't be shared; leave --mixed out"):
        CutRequest(sheets=(SMALL,), scraps=(scrap,), mixed=True)
