"""The solver's processes: what they find, how they end, and how they fail."""

import json
import subprocess
import time
from typing import Any

import numpy as np
import pytest

from applique.nesting import solver
from applique.nesting.solver import Effort, Item, Run

pytestmark = pytest.mark.skipif(not solver.is_there(), reason="the solver is not installed")

SQUARE = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
SHORT, LONG = Effort(1, 0, 1, 1), Effort(60, 0, 1, 1)


def items(count: int, angles: tuple[float, ...] | None = (0.0,)) -> list[Item]:
    return [Item(SQUARE * (1 + 0.1 * (k % 5)), angles) for k in range(count)]


def wait_for_a_layout(run: Run, seconds: float = 20.0) -> None:
    end = time.monotonic() + seconds
    while run.best is None and run.look(0.05) and time.monotonic() < end:
        pass
    assert run.best is not None


def test_a_run_finds_layouts_and_ends_by_itself() -> None:
    run = Run([Item(SQUARE, (0.0,))] * 4, 21.0, SHORT)
    while run.look(0.2):
        pass
    assert run.best is not None
    assert not run.failed
    assert 20.0 < run.best.length_mm < 20.5  # Touching is no place: a hair more than two squares.
    assert [it.index for it in run.best.placements] == [0, 1, 2, 3]
    corners = {(round(it.x_mm), round(it.y_mm, -1)) for it in run.best.placements}
    assert corners == {(0, 0), (0, 10), (10, 0), (10, 10)}


def test_stop_ends_it_at_once_and_keeps_what_was_found() -> None:
    run = Run(items(12, None), 40.0, LONG)
    wait_for_a_layout(run)
    begun = time.monotonic()
    run.stop()
    assert time.monotonic() - begun < 1.0
    assert run.best is not None
    assert not run.look(0.0)


def test_it_may_be_stopped_before_anything_is_found_and_twice() -> None:
    run = Run(items(30, None), 40.0, LONG)
    run.stop()
    run.stop()
    assert not run.look(0.0)


def test_a_worker_that_is_killed_from_outside_has_ended() -> None:
    run = Run(items(12, None), 40.0, LONG)
    wait_for_a_layout(run)
    run._process.kill()
    end = time.monotonic() + 5.0
    while run.look(0.05) and time.monotonic() < end:
        pass
    assert time.monotonic() < end
    assert run.best is not None


def test_a_panic_of_the_solver_is_no_more_than_nothing_found() -> None:
    """A shape higher than the strip makes the library panic, which is no Exception."""
    run = Run([*items(2), Item(SQUARE * 10, (0.0,))], 40.0, SHORT)
    end = time.monotonic() + 20.0
    while run.look(0.1) and time.monotonic() < end:
        pass
    assert time.monotonic() < end
    assert run.best is None
    assert run.failed


WHOLE = json.dumps({"width": 20.5, "placed": [[1, 0.0, 10.1, 0.0], [0, 0.0, 0.1, 0.0]]})


def run_of(monkeypatch: pytest.MonkeyPatch, told: str) -> Run:
    """The run of a worker that says just this, and ends."""
    popen = subprocess.Popen
    worker = f"import sys; sys.stdin.readline(); sys.stdout.write({told!r})"

    def saying(words: list[str], **given: Any) -> Any:
        return popen([*words[:-1], "-c", worker], **given)

    monkeypatch.setattr(subprocess, "Popen", saying)
    run = Run(items(2), 40.0, SHORT)
    end = time.monotonic() + 20.0
    while run.look(0.1):
        assert time.monotonic() < end
    return run


@pytest.mark.parametrize(
    "half",
    [WHOLE[:20], WHOLE[:-1], "{}", "[1]", "7", "null", '{"width": 20.5, "placed": [[1, 0.0]]}'],
)
def test_half_a_line_ends_the_run_and_what_was_found_before_remains(
    monkeypatch: pytest.MonkeyPatch, half: str
) -> None:
    """A worker that is killed writes no more than half of one."""
    run = run_of(monkeypatch, f"{WHOLE}\n{half}")
    assert run.best is not None
    assert run.best.length_mm == 20.5
    assert [it.index for it in run.best.placements] == [0, 1]
    assert not run.failed


def test_it_has_failed_only_where_it_ended_by_itself_without_a_layout(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    stopped = Run(items(30, None), 40.0, LONG)
    stopped.stop()
    assert not stopped.failed
    assert run_of(monkeypatch, "").failed


def test_looking_waits_no_longer_than_asked() -> None:
    run = Run(items(30, None), 40.0, LONG)
    begun = time.monotonic()
    assert run.look(0.0)
    assert time.monotonic() - begun < 0.5
    run.stop()
