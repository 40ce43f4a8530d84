"""With no seconds to search in, nothing depends on the clock or on another process."""

from __future__ import annotations

import itertools
import subprocess
import time

import pytest

from applique.cutsheets.cutting import cut_lots
from applique.cutsheets.files import files_of
from applique.cutsheets.reading import Lots
from applique.cutting.request import CutRequest
from applique.nesting import solver
from tests.cutsheets.documents import MAT, go_on, line, lots_in

MIXED = CutRequest(sheets=(MAT,), mixed=True)
SCISSORS = CutRequest(sheets=(MAT,), tool="scissors")


def refuse(*given: object, **named: object) -> None:
    raise AssertionError("a process was started")


@pytest.fixture(autouse=True)
def alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """The solver is there, but must not be started."""
    monkeypatch.setattr(solver, "is_there", lambda: True)
    monkeypatch.setattr(subprocess, "Popen", refuse)


def many(request: CutRequest) -> Lots:
    """More than a mat takes of one fabric, a little of another, and a template."""
    sea = [line(str(k), size=20.0 + 3 * (k % 7)) for k in range(1, 14)]
    sand = [line(str(k), "sand", 25.0, turn="half") for k in range(14, 18)]
    return lots_in(*sea, *sand, line("18", kind="template"), request=request)


def written(request: CutRequest) -> dict[str, bytes]:
    lots = many(request)
    cut = cut_lots(lots, request, 0.0, {}, go_on)
    assert cut.problems == ()
    return files_of(cut, lots, request.tool, (210.0, 297.0))


@pytest.mark.parametrize("asked", [CutRequest(sheets=(MAT,)), MIXED, SCISSORS])
def test_a_fast_clock_and_a_standing_one_give_the_same_bytes(
    asked: CutRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    hours = itertools.count(step=3600.0)
    monkeypatch.setattr(time, "monotonic", lambda: next(hours))
    fast = written(asked)
    monkeypatch.setattr(time, "monotonic", lambda: 5.0)
    assert written(asked) == fast
    assert "fabric-needed.txt" in fast
