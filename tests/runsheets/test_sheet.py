"""Run sheets against the files they are for: stops, stitches, minutes, order."""

from __future__ import annotations

import re
from itertools import pairwise

import numpy as np
import pytest

from applique.export.formats import FORMATS
from applique.export.machine import machine_file, palette_of
from applique.export.threads import block_colours
from applique.hoops.filed import file_plan
from applique.model import Plan
from applique.paper.run_content import RunSheet, Sitting
from applique.pipeline import read_plan
from applique.proof.time import sewing_time
from applique.quilt.project import Handwork
from applique.runsheets.colour_names import colour_name
from tests.export.tape import decode
from tests.runsheets import cases

USUAL = Handwork()


def hooping_plans() -> list[Plan]:
    plan = cases.hooping_plan()
    return [file_plan(hooping, plan.name, plan.block_centre) for hooping in plan.hoopings]


def cases_of_files() -> list[tuple[Sitting, Plan]]:
    """Every sitting of both sheets, with the plan of its file."""
    whole = [(cases.block_sheet().sittings[0], read_plan(cases.layered())[0])]
    return whole + list(zip(cases.hooping_sheet().sittings, hooping_plans(), strict=True))


def test_stops_and_stitches_are_those_on_the_tape() -> None:
    """Read by the independent decoder of the tape format."""
    for sitting, plan in cases_of_files():
        tape = decode(machine_file(plan, "dst").data)
        assert len(tape.stops) == sitting.machine_stops
        between = np.diff([0, *tape.stops, len(tape.stitches)]).tolist()
        assert [stop.stitches for stop in sitting.stops] == between
        assert [stop.number for stop in sitting.stops] == list(range(1, len(between) + 1))


def test_the_machines_minutes_add_up() -> None:
    for sitting, plan in cases_of_files():
        assert sitting.machine_minutes == pytest.approx(sewing_time(plan.blocks).machine_minutes)


def lay_stops(sheet: RunSheet) -> dict[str, int]:
    """For each piece, the place of the stop at which it is laid, of all stops."""
    found: dict[str, int] = {}
    for place, (_, stop) in enumerate(sheet.stops):
        for task in stop.tasks:
            if task.kind == "lay":
                for label in re.findall(r"\d+", task.words.split("over the line")[1]):
                    assert label not in found, f"{label} is laid twice"
                    found[label] = place
    return found


@pytest.mark.parametrize("sheet", [cases.block_sheet, cases.hooping_sheet])
def test_every_piece_is_laid_once_after_its_line_and_before_its_tack(sheet) -> None:
    laid = lay_stops(sheet())
    assert sorted(laid) == sorted(piece.label for piece in cases.card().pieces)
    sewn = [stop.sewn for _, stop in sheet().stops]
    for label, place in laid.items():
        lines = [k for k, words in enumerate(sewn) if _tells(words, "placement line", label)]
        tacks = [k for k, words in enumerate(sewn) if _tells(words, "tack-down", label)]
        assert lines[0] <= place < tacks[0]


def _tells(sewn: str, what: str, label: str) -> bool:
    parts = [part for part in sewn.split("; ") if what in part]
    return any(label in re.findall(r"\d+", part) for part in parts)


def test_hands_need_what_their_tasks_take() -> None:
    """Seventeen pieces laid one by one, ten changes of thread, one hooping and the first thread."""
    sheet = cases.block_sheet()
    threads = [stop.thread for _, stop in sheet.stops]
    changes = sum(one != other for one, other in pairwise(threads))
    wanted = 17 * USUAL.laying_minutes + (changes + 1) * USUAL.threading_minutes
    assert sheet.hand_minutes == pytest.approx(wanted + USUAL.hooping_minutes)


def test_each_stop_ends_with_the_thread_that_follows() -> None:
    for _, (stop, following) in _neighbours(cases.block_sheet()):
        last = stop.tasks[-1]
        if stop.thread == following.thread:
            assert last.kind == "keep"
            assert stop.thread.name in last.words
        else:
            assert (last.kind, following.thread.words in last.words) == ("thread", True)


def _neighbours(sheet: RunSheet):
    for sitting in sheet.sittings:
        for pair in pairwise(sitting.stops):
            yield sitting, pair


@pytest.mark.parametrize("format", ["pes", "pec", "dst"])
def test_the_screen_shows_what_the_file_holds(format: str) -> None:
    plan = read_plan(cases.layered())[0]
    colours = block_colours(plan.blocks, FORMATS[format], palette_of(FORMATS[format]))
    for _, (stop, _) in _neighbours(cases.block_sheet(format)):
        [*_, last] = stop.tasks
        if last.kind != "keep":
            continue
        red, green, blue = colours[stop.number]
        shown = colour_name(f"#{red:02x}{green:02x}{blue:02x}")
        if format == "dst":
            assert last.words.endswith("whatever the screen says.")
        elif shown == stop.thread.name:
            assert last.words.endswith("as the screen says.")
        else:
            assert last.words.startswith(f"The screen says {shown}: keep thread ")


def test_a_sitting_says_how_it_is_hooped_and_lined_up() -> None:
    sheet = cases.hooping_sheet()
    assert len(sheet.sittings) == len(cases.hooping_plan().hoopings) > 1
    for sitting, hooping in zip(sheet.sittings, cases.hooping_plan().hoopings, strict=True):
        told = " ".join(sitting.lining)
        assert "hoop 200x260 mm" in sitting.field
        for name in (*hooping.crosses_used, *hooping.crosses_made):
            assert re.search(rf"cross(es)? [A-Z, and]*\b{name}\b", told)
        assert "one layer of tear-away" in sitting.begin[0].words
    assert "at least, for the frames to grip" in sheet.background


def test_needles_are_reused_and_stops_set_by_hand() -> None:
    """Every stop at which something is done must be set, and no other."""
    sheet = cases.block_sheet(needles=6)
    needles = sheet.needles
    assert needles is not None
    assert len(needles.threads) == 6
    threads = {stop.thread for _, stop in sheet.stops}
    assert len(threads) - 6 <= len(needles.rethreadings)
    by_hand = tuple(stop.number for _, stop in sheet.stops if stop.set_by_hand)
    assert needles.hand_stops == ((1, by_hand),)
    for _, stop in sheet.stops:
        assert stop.set_by_hand == (bool(stop.tasks) and stop.number != 29)
        assert not any(task.kind in ("thread", "keep") for task in stop.tasks)
    held = dict(enumerate(needles.threads, start=1))
    for _, stop in sheet.stops:
        assert held[stop.needle] == stop.thread
        for change in needles.rethreadings:
            if change.after == stop.number:
                held[change.needle] = change.into


def test_needles_keep_their_threads_from_one_hooping_to_the_next() -> None:
    needles = cases.hooping_sheet(needles=15).needles
    assert needles is not None
    assert needles.rethreadings == ()
    assert any("no thread" in thread.words for thread in needles.threads)


def test_fabric_is_cut_as_large_as_its_method_wants() -> None:
    cuts = {size.piece: size for fabric in cases.block_sheet().cuts for size in fabric.sizes}
    for piece in cases.card().pieces:
        width, height = piece.size_mm
        more = 2 * piece.extra_mm
        assert cuts[piece.label].size_mm == pytest.approx((width + more, height + more))
