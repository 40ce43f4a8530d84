"""What comes out of cutting: shares used, and the check that every sheet stands."""

from __future__ import annotations

import pytest
from shapely import box

from applique.cutsheets.result import Batch, check, check_lines
from applique.cutting.nested import rectangle
from applique.cutting.request import CutRequest
from applique.errors import OutputError
from tests.cutting.pieces import cut_piece, sheet

MAT = rectangle("mat", 100.0, 100.0)
SQUARE = box(0.0, 0.0, 30.0, 30.0)
REQUEST = CutRequest(sheets=(MAT,))


def made(*places: tuple[float, float], mat=MAT):
    pieces = [cut_piece(SQUARE, str(k)) for k in range(len(places))]
    return sheet(pieces, list(places), stock=mat)


def test_sheets_that_stand_the_check_pass() -> None:
    check_lines(made((6, 6), (39, 6)), REQUEST)
    check("sea blue", [])


@pytest.mark.parametrize(
    ("places", "fault"),
    [
        (((6, 6), (38.9, 6)), "0 and 1 on mat are 2.900 mm apart, not 3 mm"),
        (((6, 6), (30, 6)), "0 and 1 on mat overlap"),
        (((5.9, 6),), "0 on mat is 5.900 mm from the border, not 6 mm"),
        (((80, 6),), "0 on mat reaches 10.000 mm beyond its border"),
    ],
)
def test_a_sheet_at_fault_is_named_with_its_first_fault(
    places: tuple[tuple[float, float], ...], fault: str
) -> None:
    with pytest.raises(OutputError) as caught:
        check_lines(made(*places), REQUEST)
    told = str(caught.value)
    assert told.startswith(
        "sea blue, sheet 2 of 3: the nesting does not stand the check and is not"
    )
    assert fault in told


def test_what_is_used_is_told_of_all_sheets_together() -> None:
    """Two squares of 30 mm on sheets of 100 x 100 and 100 x 50 mm: 1800 of 15000 mm2."""
    small = rectangle("half", 100.0, 50.0)
    batch = Batch("sea blue", 2, (made((6, 6)), made((6, 6), mat=small)), 1, "plain packer", {})
    assert batch.used_share == pytest.approx(1800 / 15000)
