"""A nesting written down and read back, and what becomes of damaged records."""

import copy
import json
from dataclasses import replace
from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, affinity

from applique.cutting.needed import FabricNeeded
from applique.cutting.nested import NestedSheet, Nesting, NestingTask, Placement, Stock, rectangle
from applique.cutting.record import (
    as_record,
    digest_of,
    from_earlier,
    from_record,
    needed_as_record,
    needed_from_record,
)
from tests.shapes import ell, ring, square

MAT = rectangle("mat", 100.0, 100.0)
SCRAP = Stock("scrap", shapely.box(0, 0, 90, 90).difference(shapely.box(60, 60, 80, 80)), 2)
TASK = NestingTask(("1", "2", "2 (2)"), (square(20), ell(), ell()), "any", (SCRAP, MAT), 3.0, 6.0)
NESTING = Nesting(
    (
        NestedSheet(
            replace(SCRAP, count=1),  # As a search leaves it that has used one.
            (Placement(0, 0.1 + 0.2, 7.000000000000001, 6.1), Placement(2, 90.0, 75.3, 1 / 3 + 6)),
        ),
        NestedSheet(MAT, (Placement(1, -180.0, 41.0, 42.7),)),
    ),
    1,
    "solver",
)


def record_of(nesting: Nesting = NESTING, task: NestingTask = TASK) -> dict[str, Any]:
    """As it comes back out of a file."""
    return json.loads(json.dumps({"digest": digest_of(task), **as_record(nesting)}))


def test_a_nesting_reads_back_exactly() -> None:
    found = from_record(record_of(), TASK)
    assert found is not None
    assert (found.bound, found.packer) == (1, "solver")
    assert [sheet.placements for sheet in found.sheets] == [
        sheet.placements for sheet in NESTING.sheets
    ]
    assert [sheet.stock for sheet in found.sheets] == [SCRAP, MAT]


# What has changed only a little


def earlier() -> dict[str, Any]:
    """A record as it is kept with the names of its pieces."""
    return {**record_of(), "names": list(TASK.names), "digest": "of another task"}


def test_a_piece_that_has_changed_a_little_stays_where_it_lay() -> None:
    smaller = replace(TASK, shapes=(square(19), ell(), ell()))
    assert from_record(earlier(), smaller) is None
    found = from_earlier(earlier(), smaller)
    assert found is not None
    assert [it.placements for it in found.sheets] == [it.placements for it in NESTING.sheets]


def test_pieces_are_known_by_their_names_in_whatever_order_they_come() -> None:
    other = replace(TASK, names=("2", "1", "2 (2)"), shapes=(ell(), square(20), ell()))
    found = from_earlier(earlier(), other)
    assert found is not None
    assert [[it.index for it in sheet.placements] for sheet in found.sheets] == [[1, 2], [0]]


@pytest.mark.parametrize(
    "task",
    [
        replace(TASK, shapes=(square(60), ell(), ell())),
        replace(TASK, names=("1", "2", "3")),
        replace(TASK, names=("1", "2"), shapes=(square(20), ell())),
        replace(TASK, stocks=(MAT,)),
        replace(TASK, gap_mm=60.0),
    ],
    ids=["no room", "another piece", "a piece less", "other sheets", "a wider gap"],
)
def test_where_pieces_may_not_lie_as_they_lay_they_are_nested_anew(task: NestingTask) -> None:
    assert from_earlier(earlier(), task) is None


@pytest.mark.parametrize("names", [None, [], "abc", [1, 2, 3], ["1", "2"]])
def test_a_record_without_the_names_of_its_pieces_is_of_no_use(names: object) -> None:
    assert from_earlier({**earlier(), "names": names}, TASK) is None


@given(st.floats(0.0, 360.0), st.floats(40.0, 60.0), st.floats(40.0, 60.0))
def test_every_number_survives(angle: float, x: float, y: float) -> None:
    task = replace(TASK, names=("1",), shapes=(square(20),))
    nesting = Nesting((NestedSheet(MAT, (Placement(0, angle, x, y),)),), 1, "plain packer")
    found = from_record(record_of(nesting, task), task)
    assert found is not None
    assert found.sheets[0].placements == nesting.sheets[0].placements


@pytest.mark.parametrize(
    "other",
    [
        replace(TASK, names=("1", "2", "3")),
        replace(TASK, shapes=(square(20.001), ell(), ell())),
        replace(TASK, shapes=(ell(), square(20), ell())),
        replace(TASK, turn="half"),
        replace(TASK, gap_mm=3.1),
        replace(TASK, margin_mm=5.9),
        replace(TASK, stocks=(MAT, SCRAP)),
        replace(TASK, stocks=(replace(SCRAP, count=3), MAT)),
        replace(TASK, stocks=(replace(SCRAP, name="rest"), MAT)),
        replace(TASK, stocks=(SCRAP, rectangle("mat", 100.0, 100.1))),
        replace(TASK, stocks=(replace(SCRAP, shape=shapely.box(0, 0, 90, 90)), MAT)),
    ],
)
def test_another_task_has_another_digest_and_finds_no_nesting(other: NestingTask) -> None:
    assert digest_of(other) != digest_of(TASK)
    assert from_record(record_of(), other) is None


def test_what_is_the_same_on_the_grid_has_the_same_digest() -> None:
    def nudged(shape: MultiPolygon) -> MultiPolygon:
        return affinity.translate(shape, 0.0004, -0.0004)

    assert digest_of(replace(TASK, shapes=tuple(map(nudged, TASK.shapes)))) == digest_of(TASK)
    assert digest_of(replace(TASK, gap_mm=3)) == digest_of(TASK)
    assert len(digest_of(TASK)) == 64


def test_a_hole_is_not_forgotten() -> None:
    holed = replace(TASK, shapes=(square(20), ell(), ring(15, 5)))
    solid = replace(
        TASK, shapes=(square(20), ell(), MultiPolygon([Polygon(ring(15, 5).geoms[0].exterior)]))
    )
    assert digest_of(holed) != digest_of(solid)


def changed(path: tuple[Any, ...], value: Any) -> Any:
    """The record with one thing in it replaced."""
    record = copy.deepcopy(record_of())
    place = record
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = value
    return record


@pytest.mark.parametrize(
    "record",
    [
        None,
        [],
        "digest",
        {},
        {"digest": digest_of(TASK)},
        changed(("format",), 2),
        changed(("digest",), ["no digest"]),
        changed(("bound",), True),
        changed(("bound",), -1),
        changed(("bound",), 3),
        changed(("bound",), 10**400),
        changed(("packer",), None),
        changed(("packer",), "solver\x1b[2J"),
        changed(("packer",), "x" * 1000),
        changed(("sheets",), {}),
        changed(("sheets",), []),
        changed(("sheets", 0), None),
        changed(("sheets", 0, "stock"), "mat"),
        changed(("sheets", 0, "stock"), ["scrap"]),
        changed(("sheets", 0, "shape"), "0" * 64),
        changed(("sheets", 0, "places"), []),
        changed(("sheets", 0, "places"), "abcd"),
        changed(("sheets", 0, "places", 0), [0, 0.0, 7.0]),
        changed(("sheets", 0, "places", 0, 0), 1),
        changed(("sheets", 0, "places", 0, 0), 0.0),
        changed(("sheets", 0, "places", 0, 0), -1),
        changed(("sheets", 0, "places", 0, 0), 99),
        changed(("sheets", 0, "places", 0, 0), False),
        changed(("sheets", 0, "places", 0, 1), float("nan")),
        changed(("sheets", 0, "places", 0, 2), float("inf")),
        changed(("sheets", 0, "places", 0, 2), 1e308),
        changed(("sheets", 0, "places", 0, 2), 10**400),
        changed(("sheets", 0, "places", 0, 2), "7"),
    ],
)
def test_damaged_records_are_none(record: object) -> None:
    assert from_record(record, TASK) is None


@pytest.mark.parametrize(
    ("place", "value"),
    [(2, 5.0), (2, 50.0), (3, 70.0)],  # In the margin, over another, over the border.
)
def test_a_record_that_does_not_stand_the_check_is_none(place: int, value: float) -> None:
    assert from_record(changed(("sheets", 0, "places", 0, place), value), TASK) is None


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=8,
)
paths = st.sampled_from(
    [
        ("sheets",),
        ("sheets", 0),
        ("sheets", 1),
        ("sheets", 0, "places"),
        ("sheets", 0, "places", 0),
        ("sheets", 0, "places", 1, 0),
        ("sheets", 0, "places", 1, 1),
        ("sheets", 1, "places", 0, 3),
        ("bound",),
        ("packer",),
        ("format",),
    ]
)


@given(paths, json_values)
def test_nothing_that_stands_in_a_record_raises(path: tuple[Any, ...], value: Any) -> None:
    found = from_record(changed(path, value), TASK)
    assert found is None or found.sheets[0].stock is SCRAP


NEEDED = FabricNeeded("sea blue", 7, 1234.5, 1016.0, 0.1 + 0.2, 2)


@pytest.mark.parametrize("needed", [NEEDED, replace(NEEDED, fat_quarters=None)])
def test_what_to_buy_reads_back_exactly(needed: FabricNeeded) -> None:
    assert needed_from_record(json.loads(json.dumps(needed_as_record(needed)))) == needed


@pytest.mark.parametrize(
    "damage",
    [
        {"format": 0},
        {"fabric": 7},
        {"fabric": "blue\n"},
        {"pieces": 7.0},
        {"pieces": True},
        {"length_mm": -1.0},
        {"length_mm": float("nan")},
        {"area_mm2": 10**400},
        {"usable_width_mm": "wide"},
        {"fat_quarters": 1.5},
    ],
)
def test_damaged_records_of_what_to_buy_are_none(damage: dict[str, Any]) -> None:
    assert needed_from_record({**needed_as_record(NEEDED), **damage}) is None


@given(json_values)
def test_no_record_of_what_to_buy_raises(value: Any) -> None:
    assert needed_from_record(value) is None
