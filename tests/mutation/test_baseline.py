"""Which tests a mutant is tried on."""

from pathlib import Path

import pytest

from tests.mutation.baseline import Baseline

SEAM = Path("applique/geometry/seam.py")
CODE = """\
WIDTH_MM = 3.5


def seam(length_mm: float) -> float:
    if length_mm > WIDTH_MM:
        return (
            length_mm
            - WIDTH_MM
        )
    return 0.0
"""
BASELINE = Baseline(
    seconds={
        "tests/geometry/test_knot.py::test_a_knot": 0.1,
        "tests/geometry/test_seam.py::test_a_long_seam": 2.0,
        "tests/geometry/test_seam.py::test_a_short_seam": 0.5,
        "tests/geometry/test_table.py::test_a_table": 0.2,
    },
    reached={
        str(SEAM): {
            1: ["tests/geometry/test_knot.py"],
            5: [
                "tests/geometry/test_table.py",
                "tests/geometry/test_seam.py::test_a_long_seam",
                "tests/geometry/test_seam.py::test_a_short_seam",
            ],
            7: ["tests/geometry/test_seam.py::test_a_long_seam"],
            10: ["tests/geometry/test_seam.py::test_a_short_seam"],
        }
    },
)


@pytest.mark.parametrize(
    ("line", "tests"),
    [
        # A constant may matter to any test; the file that mirrors the source comes first.
        (1, ["a_short_seam", "a_long_seam", "a_knot", "a_table"]),
        # The condition, without what depends on it: the quickest first. The file test_table.py
        # reached it while it was loaded.
        (5, ["a_table", "a_short_seam", "a_long_seam"]),
        # One statement on several lines.
        (8, ["a_long_seam"]),
        (10, ["a_short_seam"]),
    ],
)
def test_a_mutant_is_tried_on_the_tests_that_run_its_statement(line: int, tests: list[str]) -> None:
    found = BASELINE.tests_of(SEAM, CODE, line)
    assert [test.split("::test_")[1] for test in found] == tests


def test_what_no_test_runs_is_tried_on_none() -> None:
    assert BASELINE.tests_of(Path("applique/geometry/hem.py"), CODE, 8) == []
