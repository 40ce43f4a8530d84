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
