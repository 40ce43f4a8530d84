import numpy as np
import pytest

from applique.model import Link, Plan, Step, Thread, ThreadBlock
from applique.sequence.centre import (
    is_lopsided,
    offset_from_centre,
    with_basting_box,
    with_corner_marks,
)
from applique.sequence.plan import plan_of, stitch_faults

BLUE, RED = Thread("#2f6f8f"), Thread("#b2392f")


def path(*points: tuple[float, float]) -> np.ndarray:
    return np.array(points, dtype=float)


def step(thread: Thread, *paths: np.ndarray, links: tuple[Link, ...] = (), pause: str = "") -> Step:
    return Step("edge", "1", thread, paths, links or ("trim",) * len(paths), pause=pause)


LINE = path((0, 0), (3, 0))
ON = path((3, 0), (6, 0))


def test_a_thread_change_or_a_pause_begins_a_block() -> None:
    steps = [
        step(BLUE, LINE),
        step(BLUE, LINE, pause="Lay sand."),
        step(BLUE, LINE),
        step(RED, LINE),
    ]
    plan = plan_of(steps, "Sea", (0, 0))
    assert [(block.thread, len(block.runs)) for block in plan.blocks] == [
        (BLUE, 2),
        (BLUE, 1),
        (RED, 1),
    ]
    assert [block.pause for block in plan.blocks] == ["Lay sand.", "", ""]


def test_paths_linked_by_a_run_are_one_run() -> None:
    plan = plan_of([step(BLUE, LINE, ON, links=("run", "trim"))], "", (0, 0))
    ((run,),) = [block.runs for block in plan.blocks]
    assert run.tolist() == [[0, 0], [3, 0], [6, 0]]


def test_a_run_goes_on_over_steps_but_not_over_a_stop() -> None:
    on = step(BLUE, LINE, links=("run",))
    assert len(plan_of([on, step(BLUE, ON)], "", (0, 0)).blocks[0].runs) == 1
    paused = step(BLUE, LINE, links=("run",), pause="Lay sand.")
    assert len(plan_of([paused, step(BLUE, ON)], "", (0, 0)).blocks) == 2


def test_long_stitches_are_errors_and_short_ones_notes() -> None:
    faults = stitch_faults([step(BLUE, path((0, 0), (12.2, 0), (12.3, 0)))])
    assert [(fault.severity, fault.code) for fault in faults] == [
        ("error", "long-stitch"),
        ("note", "short-stitch"),
    ]
    # 12.1 mm on either axis is the reach of one tape record: 17.11 mm on the diagonal.
    assert stitch_faults([step(BLUE, path((0, 0), (12.1, 12.1)))]) == []


def test_a_run_between_paths_counts_as_a_stitch() -> None:
    far = step(BLUE, LINE, path((40, 0), (43, 0)), links=("run", "trim"))
    assert [fault.code for fault in stitch_faults([far])] == ["long-stitch"]


def test_no_stitch_leads_from_one_thread_to_another() -> None:
    far = [step(BLUE, LINE, links=("run",)), step(RED, path((40, 0), (43, 0)))]
    assert stitch_faults(far) == []


# The centre


def plan(*points: tuple[float, float]) -> Plan:
    return Plan("", (50.0, 50.0), (ThreadBlock(BLUE, (path(*points),)),))


LOPSIDED = plan((40, 45), (90, 60))


def test_an_offset_is_measured_from_the_blocks_centre() -> None:
    assert offset_from_centre(LOPSIDED) == (15.0, 2.5)
    assert is_lopsided(LOPSIDED)
    assert not is_lopsided(plan((40, 45), (60, 55)))


@pytest.mark.parametrize("begun", [with_corner_marks, with_basting_box])
def test_marks_make_the_extents_symmetrical(begun) -> None:
    marked = begun(LOPSIDED)
    assert offset_from_centre(marked) == pytest.approx((0, 0))
    assert marked.blocks[0].runs[-1] is LOPSIDED.blocks[0].runs[0]
    assert len(marked.blocks) == 1
    everything = np.vstack(marked.blocks[0].runs) - 50
    assert np.abs(everything).max(axis=0) == pytest.approx([40, 10])
