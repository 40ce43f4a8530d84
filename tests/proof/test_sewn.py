"""Paths as the machine sews them: where its thread starts and ends, and which ties are there."""

import numpy as np

from applique.model import Link, Step, StepKind, Thread
from applique.proof.sewn import of_kinds, sewn_paths

RED, BLUE = Thread("#b2392f"), Thread("#2f6f8f")
RUN = np.array([(0.0, 0.0), (3.0, 0.0), (6.0, 0.0), (9.0, 0.0), (12.0, 0.0)])
TIE = np.array([(0.8, 0.0), (0.0, 0.0), (0.8, 0.0)])
TIED = np.vstack([TIE, RUN, (12.0, 0.0) - TIE])


def step(
    *paths: np.ndarray,
    links: tuple[Link, ...] = ("trim",),
    thread: Thread = RED,
    kind: StepKind = "edge",
    pause: str = "",
) -> Step:
    return Step(kind, "sail", thread, paths, links, pause)


def test_ties_are_set_aside() -> None:
    (path,) = sewn_paths([step(TIED)])
    assert (path.starts, path.ends, path.tied_at_start, path.tied_at_end) == (True,) * 4
    assert path.loose_ends == ()
    np.testing.assert_array_equal(path.plain, RUN)


def test_a_thread_that_runs_on_needs_no_tie() -> None:
    first, second = sewn_paths(
        [step(TIED[:-3], links=("run",), kind="tack"), step(TIED[3:] + np.array([0.0, 2.0]))]
    )
    assert (first.ends, second.starts) == (False, False)
    assert first.loose_ends == second.loose_ends == ()
    np.testing.assert_array_equal(second.whole[:2], [(12.0, 0.0), (0.0, 2.0)])


def test_a_thread_ends_where_the_machine_stops_or_changes_it() -> None:
    for steps in (
        [step(RUN, links=("run",), pause="lay sail"), step(RUN)],
        [step(RUN, links=("run",)), step(RUN, thread=BLUE)],
    ):
        first, second = sewn_paths(steps)
        assert first.ends
        assert second.starts
        assert first.loose_ends == second.loose_ends == ((0.0, 0.0), (12.0, 0.0))


def test_within_a_thread_a_stitch_to_and_fro_is_part_of_the_sewing() -> None:
    """A bite of 2 mm in two strokes looks like a tie."""
    double = np.array([(0.0, 0.0), (0.0, 1.8), (0.0, 0.0), (0.0, 1.8), (0.0, 0.0)])
    _, path = sewn_paths([step(TIED, double, links=("run", "trim"))])
    assert len(path.plain) == 5 - 3  # Only the end is looked at, for there the thread ends.
    _, path = sewn_paths([step(TIED, double, RUN, links=("run", "run", "trim"))])[:2]
    np.testing.assert_array_equal(path.plain, double)


def test_paths_are_found_by_their_steps_kinds() -> None:
    paths = sewn_paths([step(RUN, kind="tack"), step(RUN, kind="underlay"), step(RUN)])
    assert [path.kind for path in of_kinds(paths, "underlay", "edge")] == ["underlay", "edge"]


def test_an_empty_path_is_passed_over() -> None:
    assert sewn_paths([step(np.zeros((0, 2)))]) == []
