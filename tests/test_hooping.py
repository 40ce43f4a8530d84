"""Hooping plans of the harbour blocks: together the hoopings' files sew what the block's own would.

The files are read with the independent tape decoder of tests/export/tape.py.
"""

from __future__ import annotations

import functools
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
import shapely

from applique.errors import InputError
from applique.export.machine import machine_file
from applique.files import read_svg
from applique.hooping import Hoopings, plan_hoopings, read_layered
from applique.hoops.fields import Field
from applique.hoops.filed import file_plan, on_steps
from applique.hoops.grouping.certificate import faults_in
from applique.hoops.layered import Layered
from applique.hoops.plan import Hooping
from applique.hoops.request import HoopRequest
from applique.hoops.sewing import Hold
from applique.model import Step
from applique.pipeline import make_layers
from tests.conftest import SAMPLES
from tests.export.tape import decode

FIELDS = ("100x100", "130x180", "160x260", "260x400")
BLOCKS = sorted(path.stem for path in SAMPLES.glob("*.svg"))
EVERY = [(block, field) for block in BLOCKS for field in FIELDS]
MARKS = ("align", "baste", "travel")

Penetration = tuple[int, int]
Line = tuple[Penetration, ...]


def field_of(name: str) -> Field:
    width, height = map(float, name.split("x"))
    return Field(width, height)


@functools.cache
def layered(block: str) -> Layered:
    root = read_svg(SAMPLES / f"{block}.svg").getroot()
    make_layers(root)
    return read_layered(root)


@functools.cache
def planned(block: str, field: str, turn: bool = False) -> Hoopings:
    return plan_hoopings(layered(block), HoopRequest((field_of(field),), turn=turn))


def in_steps(points: np.ndarray, centre: tuple[float, float]) -> Line:
    """Points of mm as whole steps of 0.1 mm from the block's centre."""
    units = np.round((on_steps(points, centre) - np.array(centre)) * 10).astype(int)
    return tuple((x, y) for x, y in units.tolist())


def without_repeats(points: Line) -> Line:
    return tuple(p for k, p in enumerate(points) if k == 0 or p != points[k - 1])


def lines_of(steps: list[Step], centre: tuple[float, float]) -> Counter[tuple[str, str, Line]]:
    """Every path with its piece and kind, as the machine sews it."""
    return Counter(
        (step.piece, step.kind, in_steps(path, centre)) for step in steps for path in step.paths
    )


def on_the_block(hooping: Hooping, block_centre: tuple[float, float], data: bytes) -> Line:
    """The penetrations of a file, turned back and moved to where they lie on the block."""
    places = np.array(decode(data).stitches)
    if hooping.turned:
        places = np.stack([places[:, 1], -places[:, 0]], axis=1)
    moved = places + np.round((np.array(hooping.centre) - np.array(block_centre)) * 10).astype(int)
    return tuple((x, y) for x, y in moved.tolist())


def in_stretches(made: Hoopings) -> set[str]:
    """The pieces of which not everything is sewn as it stands: those in stretches, and those of
    whose placement line a part lies beyond the field, which is told."""
    shortened = {finding.object for finding in made.findings if finding.code == "placement"}
    return shortened | {name.split(",")[0] for name in made.plan.parts if ", stretch " in name}


@pytest.mark.parametrize(("block", "field"), EVERY)
def test_every_file_sews_its_hooping_and_stays_in_its_field(block: str, field: str) -> None:
    plan = planned(block, field).plan
    for hooping in plan.hoopings:
        data = machine_file(file_plan(hooping, "x", plan.block_centre), "dst").data
        everything = np.vstack([path for step in hooping.steps for path in step.paths])
        wanted = without_repeats(in_steps(everything, plan.block_centre))
        assert without_repeats(on_the_block(hooping, plan.block_centre, data)) == wanted
        half = np.array(hooping.field.size_mm) * 10 / 2
        assert (np.abs(np.array(decode(data).stitches)).max(axis=0) <= half).all()


@pytest.mark.parametrize(("block", "field"), EVERY)
def test_all_hoopings_together_sew_the_block(block: str, field: str) -> None:
    made = planned(block, field)
    centre = made.plan.block_centre
    sewn = [s for h in made.plan.hoopings for s in h.steps if s.kind not in MARKS]
    split = in_stretches(made)
    whole = [step for step in layered(block).steps if step.piece not in split]
    assert lines_of([s for s in sewn if s.piece not in split], centre) == lines_of(whole, centre)
    for label in split:
        assert_same_in_stretches(
            [step for step in layered(block).steps if step.piece == label],
            [step for step in sewn if step.piece == label],
            centre,
        )


def assert_same_in_stretches(
    wanted: list[Step], sewn: list[Step], centre: tuple[float, float]
) -> None:
    """All penetrations of the edge, and nothing else but ties on its line; a placement line only
    where the piece is laid."""
    for kind in {step.kind for step in wanted}:
        asked = points_of(wanted, kind, centre)
        found = points_of(sewn, kind, centre)
        if kind != "placement":
            assert asked <= found
        line = shapely.MultiLineString([path for step in wanted for path in step.paths])
        extra = np.array(sorted(found - asked)).reshape(-1, 2) / 10 + np.array(centre)
        # A tie lies on the line, its points rounded to a step.
        assert (shapely.distance(shapely.points(extra), line) < 1.0).all()


def points_of(steps: list[Step], kind: str, centre: tuple[float, float]) -> set[Penetration]:
    return {
        point
        for step in steps
        if step.kind == kind
        for path in step.paths
        for point in in_steps(path, centre)
    }


@pytest.mark.parametrize(("block", "field"), EVERY)
def test_fewer_hoopings_can_not_do(block: str, field: str) -> None:
    plan = planned(block, field).plan
    boxes, order = np.array(plan.boxes), (plan.below, plan.apart)
    assert faults_in(plan.certificate, boxes, plan.windows, *order) == []
    assert plan.certificate.bound <= plan.bound <= len(plan.hoopings)
    assert plan.finished and plan.bound == len(plan.hoopings)


@pytest.mark.parametrize(("block", "field"), EVERY)
def test_no_piece_is_sewn_before_one_it_lies_on(block: str, field: str) -> None:
    made = planned(block, field)
    first: dict[str, int] = {}
    last: dict[str, int] = {}
    steps = [step for hooping in made.plan.hoopings for step in hooping.steps if step.piece]
    for place, step in enumerate(steps):
        first.setdefault(step.piece, place)
        last[step.piece] = place
    split = in_stretches(made)
    for upper, lowers in layered(block).comes_first.laying.items():
        for lower in lowers:
            # Of a lower piece in stretches only those beneath the upper one come first.
            done = first[lower] if lower in split else last[lower]
            assert done < first[upper], f"{lower} comes before {upper}"


@pytest.mark.parametrize("block", BLOCKS)
def test_turned_files_stand_upright_in_their_field(block: str) -> None:
    plan = planned(block, "260x400", turn=True).plan
    for hooping in plan.hoopings:
        data = machine_file(file_plan(hooping, "x", plan.block_centre), "dst").data
        half = np.array(hooping.field.size_mm) * 10 / 2
        assert (np.abs(np.array(decode(data).stitches)).max(axis=0) <= half).all()
    # The waves of the gull and the sails' pennant reach through the seam allowance on three sides.
    assert len(plan.hoopings) == (2 if block == "gull" else 1)


@pytest.mark.parametrize("block", BLOCKS)
def test_turning_never_takes_more(block: str) -> None:
    upright, turned = (planned(block, "160x260", turn).plan for turn in (False, True))
    assert len(turned.hoopings) <= len(upright.hoopings)


def test_every_later_hooping_goes_to_its_crosses_first() -> None:
    plan = planned("lighthouse", "160x260").plan
    assert len(plan.hoopings) > 1
    for hooping in plan.hoopings[1:]:
        first, second = hooping.steps[:2]
        assert (first.kind, second.kind) == ("align", "align")
        assert first.thread.name == second.thread.name == "no thread in the needle"
        places = {cross.name: cross.place for cross in plan.crosses}
        used = [places[name] for name in hooping.crosses_used]
        assert [step.paths[0][-1].tolist() for step in (first, second)] == [list(p) for p in used]
        assert "cross" in first.pause and "thread" in second.pause


def test_two_fields_are_mixed_and_the_small_one_taken_where_it_does() -> None:
    fields = (field_of("130x180"), field_of("260x400"))
    plan = plan_hoopings(layered("gull"), HoopRequest(fields, turn=True)).plan
    assert len(plan.hoopings) <= len(planned("gull", "260x400", turn=True).plan.hoopings)
    for hooping in plan.hoopings:
        points = np.vstack([path for step in hooping.steps for path in step.paths])
        width, height = points.max(axis=0) - points.min(axis=0)
        small = min(width, height) <= 128 and max(width, height) <= 178
        assert (hooping.field.name == "130x180") == small


def test_a_piece_can_be_put_into_a_hooping() -> None:
    free = planned("lighthouse", "160x260").plan
    at = next(hooping.number for hooping in free.hoopings if "3" in hooping.labels)
    wanted = at % len(free.hoopings) + 1
    request = HoopRequest((field_of("160x260"),), fixed={"3": wanted})
    plan = plan_hoopings(layered("lighthouse"), request).plan
    assert "3" in plan.hoopings[wanted - 1].labels


def test_large_pieces_can_be_left_to_the_sewing_machine() -> None:
    request = HoopRequest((field_of("160x260"),), too_large="sewing-machine")
    made = plan_hoopings(layered("lighthouse"), request)
    left = dict(made.plan.by_machine)
    assert left
    for hooping in made.plan.hoopings:
        kinds = {step.kind for step in hooping.steps if step.piece in left}
        assert kinds <= {"placement"}
    before = layered("lighthouse").comes_first.laying
    for hooping in made.plan.hoopings:
        for label in hooping.labels:
            # What lies on it is laid after its edge was sewn, out of the hoop.
            for lower in before[label] & left.keys():
                assert hooping.number > left[lower]


def test_a_box_holds_the_block_on_hooped_stabiliser() -> None:
    request = HoopRequest((field_of("160x260"),), hold="laid on")
    plan = plan_hoopings(layered("lighthouse"), request).plan
    for hooping in plan.hoopings:
        kinds = [step.kind for step in hooping.steps]
        at = kinds.index("baste")
        assert set(kinds[:at]) <= {"align"}
        assert all(step.thread.name != "no thread in the needle" for step in hooping.steps[:at])


def test_on_stabiliser_the_first_crosses_show_where_the_template_goes() -> None:
    keep_out = ((-100.0, -100.0, 0.0, 400.0),)
    request = HoopRequest((field_of("160x260"),), hold="laid on", keep_out=keep_out)
    first = plan_hoopings(layered("lighthouse"), request).plan.hoopings[0]
    middle, above = (step.paths[0].mean(axis=0) for step in first.steps[:2])
    assert np.abs(middle - np.array(first.centre)).max() < 0.3
    assert abs(above[0] - middle[0]) < 0.3 and above[1] < middle[1] - 20


@pytest.mark.parametrize("hold", ["hooped", "laid on"])
def test_no_field_reaches_into_a_place_kept_out(hold: Hold) -> None:
    left, top, right, bottom = 0.0, 0.0, 30.0, 100.0
    request = HoopRequest((field_of("160x260"),), hold=hold, keep_out=((left, top, right, bottom),))
    for hooping in plan_hoopings(layered("sailboat"), request).plan.hoopings:
        field = shapely.box(*hooping.field_box_mm)
        # The middle of a field lies on a step of 0.1 mm.
        assert field.intersection(shapely.box(left, top, right - 0.1, bottom - 0.1)).area == 0


@pytest.mark.parametrize("block", BLOCKS)
def test_what_is_sewn_on_the_machine_covers_no_line_and_no_cross(block: str) -> None:
    request = HoopRequest((field_of("130x180"),), turn=True, too_large="sewing-machine")
    plan = plan_hoopings(layered(block), request).plan
    cuts = {item.part.label: item.cut for item in layered(block).laid if hasattr(item, "cut")}
    for label, after in plan.by_machine:
        for hooping in plan.hoopings[:after]:
            for step in hooping.steps:
                above = label in layered(block).before.get(step.piece, ())
                if step.kind == "placement" and above:
                    points = shapely.points(np.vstack(step.paths))
                    assert not shapely.contains(cuts[label].buffer(-0.1), points).any()
        for cross in plan.crosses:
            looked_for = [number for number in cross.used_in if number > after]
            if cross.making != "pen" and cross.made_in <= after and looked_for:
                assert cuts[label].distance(shapely.Point(cross.place)) > 2.9


def test_a_document_out_of_order_is_not_kept_so() -> None:
    block = layered("lighthouse")
    request = HoopRequest((field_of("260x400"),), turn=True, order="kept")
    assert plan_hoopings(block, request).plan.hoopings
    backwards = replace(block, steps=block.steps[::-1])
    with pytest.raises(InputError, match="the document sews"):
        plan_hoopings(backwards, request)


def test_a_field_smaller_than_every_piece_is_refused() -> None:
    with pytest.raises(InputError, match="no piece fits any of the fields; the smallest"):
        plan_hoopings(layered("lighthouse"), HoopRequest((Field(20.0, 20.0),)))


def test_what_can_not_be_fixed_is_refused_with_its_pieces() -> None:
    upper, lowers = next(
        (up, low) for up, low in layered("lighthouse").comes_first.laying.items() if low
    )
    lower = sorted(lowers)[0]
    for fixed in ({"99": 1}, {lower: 2, upper: 1}):
        request = HoopRequest((field_of("260x400"),), fixed=fixed)
        with pytest.raises(InputError) as refusal:
            plan_hoopings(layered("lighthouse"), request)
        told = str(refusal.value) + " ".join(f.sentence() for f in refusal.value.findings)
        assert all(label in told for label in fixed)


def test_a_margin_that_eats_the_field_is_refused() -> None:
    with pytest.raises(ValueError, match="leaves nothing of the field 100x100"):
        HoopRequest((field_of("100x100"),), margin_mm=50.0)
