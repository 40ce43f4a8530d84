"""The check of shared mats finds every fault, and none where there is none."""

import pytest

from applique.cutting.nested import NestingTask, Placement, rectangle
from applique.nesting.mats import Patch, SharedMat, faults_of_mats
from tests.shapes import square

MAT = rectangle("mat", 100, 100)
TASKS = [
    (name, NestingTask(("1",), (square(20),), "none", (), gap_mm=2.7, margin_mm=6.0))
    for name in ("sea blue", "sand")
]
SIDE = 4 * 6.35  # holds the square and a gap on both sides exactly


def patch(fabric: str, left: float, top: float, side: float = SIDE, *, index: int = 0) -> Patch:
    place = Placement(index, 0.0, left + 2.7, top + 2.7)
    return Patch(fabric, (left, top, left + side, top + side), (place,))


def faults(*patches: Patch, count: int | None = None) -> list[str]:
    stock = rectangle("mat", 100, 100, count)
    return faults_of_mats(TASKS, [stock], [SharedMat(stock, patches)])


def test_patches_side_by_side_inside_the_margin_have_no_fault() -> None:
    assert faults(patch("sea blue", 6, 6), patch("sand", 6 + SIDE, 6)) == []


@pytest.mark.parametrize(
    ("second", "fault"),
    [
        (patch("sand", 30, 6), "the patches of sea blue and sand on mat 1 (mat) overlap"),
        (
            patch("sand", 5, 50),
            "the patch of sand on mat 1 (mat) is 5.000 mm from the border, not 6 mm",
        ),
        (patch("sand", 50, 50, 26), "sand on mat 1 (mat) measures no whole quarter inches"),
        (
            patch("sand", 50, 50, 19.05),
            "1 on mat 1 (mat) (the patch of sand) reaches 5.162 mm beyond its border",
        ),
        (patch("sand", 50, 50, -6.35), "the patch of sand on mat 1 (mat) has no size"),
        (patch("sea blue", 50, 50), "1 of sea blue lies on the mats 2 times, not once"),
        (patch("sand", 50, 50, index=1), "there is no shape number 1 of sand, but it has a place"),
        (patch("brick", 50, 50), "there is no shape number 0 of brick, but it has a place"),
    ],
)
def test_a_fault_is_told_with_the_fabric_and_the_mat(second: Patch, fault: str) -> None:
    assert fault in " | ".join(faults(patch("sea blue", 6, 6), second))


def test_pieces_too_near_to_their_patch_and_turned_against_the_rule_are_told() -> None:
    tilted = Patch("sand", (40, 40, 40 + SIDE, 40 + SIDE), (Placement(0, 90.0, 62.7, 43.2),))
    told = faults(patch("sea blue", 6, 6), tilted)
    assert any("is turned by 90 degrees, not by 0" in fault for fault in told)
    assert any("is 2.200 mm from the border, not 2.7 mm" in fault for fault in told)


def test_missing_pieces_and_mats_that_there_are_not_are_told() -> None:
    assert faults(patch("sea blue", 6, 6)) == ["1 of sand lies on the mats 0 times, not once"]
    told = faults(patch("sea blue", 6, 6), patch("sand", 50, 50), count=0)
    assert told == ["1 mats mat are used, of which there are 0"]


def test_on_a_patch_that_is_its_whole_mat_the_margin_counts() -> None:
    whole = Patch("sand", (0.0, 0.0, 100.0, 100.0), (Placement(0, 0.0, 5.0, 6.0),))
    mats = [SharedMat(MAT, (patch("sea blue", 6, 6),)), SharedMat(MAT, (whole,))]
    (told,) = faults_of_mats(TASKS, [MAT], mats)
    assert told.endswith("is 5.000 mm from the border, not 6 mm")
