"""Two files held against each other: equal across formats, and every difference told."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings

from applique.export.comparing import Sewn, compare, sewn_from_file, sewn_from_plan
from applique.export.formats import FORMATS
from applique.export.machine import machine_file
from applique.export.reading import read_machine
from applique.model import Plan, Thread, ThreadBlock
from tests.strategies import plans

BLUE, RED = Thread("#2f6f8f"), Thread("#b2392f")


def run(*points: tuple[float, float]) -> np.ndarray:
    return np.array(points, dtype=float)


FLAG = Plan(
    "Harbour",
    (100.0, 100.0),
    (
        ThreadBlock(BLUE, (run((101, 100), (104, 100), (104, 97)), run((90, 90), (92, 90)))),
        ThreadBlock(BLUE, (run((100, 100), (100, 103), (102, 103)),), "Lay sand."),
        ThreadBlock(RED, (run((110, 110), (112, 111), (114, 110)),)),
    ),
)


def filed(plan: Plan, suffix: str) -> Sewn:
    return sewn_from_file(read_machine(machine_file(plan, suffix).data, suffix))


def with_block(plan: Plan, number: int, *runs: np.ndarray) -> Plan:
    blocks = list(plan.blocks)
    blocks[number] = replace(blocks[number], runs=runs)
    return replace(plan, blocks=tuple(blocks))


@pytest.mark.parametrize(("one", "other"), list(combinations(FORMATS, 2)))
def test_files_of_one_plan_are_equal_in_any_two_formats(one: str, other: str) -> None:
    found = compare(filed(FLAG, one), filed(FLAG, other))
    assert found.equal
    assert found.largest_mm == 0
    exact = FORMATS[one].colours == FORMATS[other].colours == "exact"
    assert found.same_colours is (True if exact else None)


@pytest.mark.parametrize("suffix", FORMATS)
@given(some=plans())
@settings(max_examples=4)
def test_a_plan_is_equal_to_its_file(suffix: str, some: Plan) -> None:
    assert compare(sewn_from_plan(some), filed(some, suffix)).equal


def test_the_first_difference_is_told_with_its_place() -> None:
    moved = with_block(FLAG, 1, run((100, 100), (100, 103.4), (102, 103)))
    found = compare(filed(FLAG, "dst"), filed(moved, "dst"))
    assert not found.equal
    assert found.first is not None
    assert (found.first.number, found.first.after_stops) == (7, 1)
    assert (found.first.first_mm, found.first.second_mm) == ((0, 3), (0, 3.4))
    assert found.largest_mm == pytest.approx(0.4)
    assert found.mean_mm == pytest.approx(0.4 / 11)
    assert found.offset_mm is None


def test_a_difference_within_the_tolerance_is_none() -> None:
    moved = with_block(FLAG, 1, run((100, 100), (100, 103.1), (102, 103)))
    assert not compare(filed(FLAG, "dst"), filed(moved, "dst")).equal
    assert compare(filed(FLAG, "dst"), filed(moved, "dst"), tolerance_mm=0.11).equal


def test_a_file_that_was_moved_is_told_by_how_much() -> None:
    found = compare(filed(FLAG, "dst"), filed(replace(FLAG, centre=(97.0, 102.5)), "dst"))
    assert found.offset_mm == pytest.approx((3, -2.5))
    assert not found.equal
    assert compare(filed(FLAG, "dst"), filed(FLAG, "dst")).offset_mm is None


def test_a_stitch_too_few_is_told_where_the_shorter_ends() -> None:
    short = with_block(FLAG, 2, run((110, 110), (112, 111)))
    found = compare(filed(FLAG, "pes"), filed(short, "pes"))
    assert found.stitches == (11, 10)
    assert found.first is not None
    assert (found.first.number, found.first.second_mm) == (11, None)
    assert found.first.first_mm == (14, 10)


def test_a_trim_too_few_is_told() -> None:
    first, *others = FLAG.blocks
    joined = replace(first, runs=(np.vstack(first.runs),))
    plan = replace(FLAG, blocks=(joined, *others))
    found = compare(sewn_from_plan(FLAG), sewn_from_plan(plan))
    assert found.trims == (1, 0)
    assert found.first is None
    assert not found.equal


def test_a_stop_at_another_stitch_is_told() -> None:
    blue, sand, brick = FLAG.blocks
    early = replace(sand, runs=(sand.runs[0][:1],))
    late = replace(brick, runs=(sand.runs[0][1:], *brick.runs))
    found = compare(filed(FLAG, "dst"), filed(replace(FLAG, blocks=(blue, early, late)), "dst"))
    assert found.stops == (2, 2)
    assert not found.same_stops
    assert not found.equal


def test_colours_count_only_where_both_store_them() -> None:
    blue, sand, brick = FLAG.blocks
    green = replace(FLAG, blocks=(blue, sand, replace(brick, thread=Thread("#00aa00"))))
    assert compare(filed(FLAG, "pes"), filed(green, "pes")).same_colours is False
    assert not compare(filed(FLAG, "pes"), filed(green, "pes")).equal
    assert compare(filed(FLAG, "dst"), filed(green, "pes")).equal
    assert compare(filed(FLAG, "pec"), filed(green, "pec")).same_colours is False
    assert compare(filed(FLAG, "pec"), filed(green, "jef")).same_colours is None


def moved_by(*ways: tuple[float, float]) -> Sewn:
    """The flag's plan with every penetration moved the first way, the later ones the later ways."""
    steps = np.zeros((11, 2)) + ways[0]
    steps[11 - len(ways) + 1 :] = np.array(ways[1:]).reshape(-1, 2)
    runs, begin = [], 0
    for block in FLAG.blocks:
        for line in block.runs:
            runs.append(line + steps[begin : begin + len(line)])
            begin += len(line)
    blocks = (
        replace(FLAG.blocks[0], runs=tuple(runs[:2])),
        replace(FLAG.blocks[1], runs=(runs[2],)),
        replace(FLAG.blocks[2], runs=(runs[3],)),
    )
    return Sewn(replace(FLAG, blocks=blocks), "none", "plan")


@pytest.mark.parametrize(
    ("ways", "equal", "offset"),
    [
        # Within half a step of 0.1 mm nothing has moved.
        ([(0.03, 0.03)], True, None),
        ([(0.06, 0)], False, (0.06, 0)),
        ([(0, -0.06)], False, (0, -0.06)),
        ([(-2, 3)], False, (-2, 3)),
        # Each may stray half a step from where the rest went.
        ([(3, 1), (3.09, 1), (3, 1)], False, (3.045, 1)),
        ([(3, 1), (3.11, 1), (3, 1)], False, None),
        ([(3, 1), (3, 0.8), (3, 1)], False, None),
    ],
)
def test_what_counts_as_moved(ways: list, equal: bool, offset: tuple | None) -> None:
    found = compare(moved_by((0, 0)), moved_by(*ways))
    assert found.equal is equal
    assert found.offset_mm == (None if offset is None else pytest.approx(offset))


@pytest.mark.parametrize(
    ("number", "after_stops"), [(1, 0), (5, 0), (6, 1), (8, 1), (9, 2), (11, 2)]
)
def test_a_difference_is_told_after_how_many_stops_it_comes(number: int, after_stops: int) -> None:
    """The flag has 5, 3 and 3 penetrations in its blocks."""
    ways = [(0.0, 0.0)] * 11
    ways[number - 1] = (0, 1)
    found = compare(moved_by((0, 0)), moved_by((0, 0), *ways)).first
    assert found is not None
    assert (found.number, found.after_stops) == (number, after_stops)


def test_a_comparison_is_told_to_a_script() -> None:
    brick = run((110, 110), (112, 111), (114, 110.5678))
    told = compare(
        sewn_from_plan(FLAG), Sewn(with_block(FLAG, 2, brick), "exact", "plan")
    ).as_dict()
    assert told == {
        "equal": False,
        "stitches": (11, 11),
        "stops": (2, 2),
        "trims": (1, 1),
        "same_stops": True,
        "same_trims": True,
        "same_colours": False,
        "first": {
            "number": 11,
            "after_stops": 2,
            "first_mm": (14.0, 10.0),
            "second_mm": (14.0, 10.568),
        },
        "largest_mm": 0.568,
        "mean_mm": 0.0516,
        "offset_mm": None,
    }


def test_a_stop_too_few_is_told() -> None:
    blue, sand, brick = FLAG.blocks
    joined = replace(sand, runs=(*sand.runs, *brick.runs))
    found = compare(sewn_from_plan(FLAG), sewn_from_plan(replace(FLAG, blocks=(blue, joined))))
    assert found.stops == (2, 1)
    assert not found.same_stops
    assert not found.equal
