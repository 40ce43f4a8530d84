"""One input given to one reader, watched: how it ended, how long it took, what it is known by."""

from __future__ import annotations

import random
import re
import signal
import time
import traceback
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

from applique.errors import AppliqueError
from tests.fuzz.mutate import mutated
from tests.fuzz.targets import TARGETS, check_refusal

CORPUS = Path(__file__).resolve().parent / "corpus"
CRASHES = CORPUS / "crashes"

MOST_SECONDS = 10.0
"""Of processor time, whatever else the machine does. No input may take more."""

ACCEPTED = "accepted"

_VARYING = re.compile(r"'[^']*'|\"[^\"]*\"|[-+]?\d[\w.]*")
_MOST_KEPT = 400


class TooLongError(BaseException):
    """The reader took too long. Nothing that catches every `Exception` stops it."""


@dataclass(frozen=True)
class Outcome:
    """How an input ended: `kind` is "accepted" or the exception's name; `crash` what a fault is
    known by, "" if there was none; `told` what a refusal said, numbers and names left out."""

    kind: str
    seconds: float
    crash: str = ""
    told: str = ""
    trace: str = ""


def run_one(reader: str, data: bytes) -> Outcome:
    """Give an input to a reader. Only the project's own exceptions may come out of it."""
    begun = time.process_time()
    try:
        with _watched(), warnings.catch_warnings():
            warnings.simplefilter("error")
            told = _refusal_of(reader, data)
    except (Exception, TooLongError) as problem:
        kind = type(problem).__name__
        seconds = time.process_time() - begun
        return Outcome(kind, seconds, _crash_name(problem), trace=traceback.format_exc())
    seconds = time.process_time() - begun
    if seconds > MOST_SECONDS:  # It was in a library that no alarm ends.
        return Outcome("TooLongError", seconds, "TooLongError after its end")
    return Outcome(told[0], seconds, told=told[1])


def _refusal_of(reader: str, data: bytes) -> tuple[str, str]:
    """Its kind and what it says; "accepted" and nothing if the reader took the input."""
    try:
        TARGETS[reader](data)
    except AppliqueError as problem:
        check_refusal(problem, data)
        messages = sorted({finding.message for finding in getattr(problem, "findings", ())})
        told = _VARYING.sub("", " | ".join([str(problem), *messages]))
        return type(problem).__name__, told
    return ACCEPTED, ""


@contextmanager
def _watched() -> Iterator[None]:
    """An alarm after so many seconds, where the system has one."""
    if not hasattr(signal, "setitimer"):
        yield
        return

    def ring(number: int, frame: FrameType | None) -> None:
        raise TooLongError

    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, MOST_SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def _crash_name(problem: BaseException) -> str:
    """The exception and the innermost lines of ours that it went through."""
    frames = traceback.extract_tb(problem.__traceback__)
    ours = [f for f in frames if "/applique/" in f.filename.replace("\\", "/")]
    if not ours:
        return f"{type(problem).__name__} {str(problem)[:60]}"
    last = ours[-1]
    return f"{type(problem).__name__} in {Path(last.filename).stem}.{last.name}:{last.lineno}"


def seeds(reader: str) -> list[Path]:
    """The files of the corpus that are for a reader, crashes of before among them."""
    return sorted([*CORPUS.glob(f"{reader}-*"), *CRASHES.glob(f"{reader}-*")])


class Pool:
    """Inputs to go on from: those it begins with, and every one that made a reader say something
    new."""

    def __init__(self, reader: str, begin: Sequence[bytes], chance: random.Random) -> None:
        self._reader = reader
        self._chance = chance
        self._begin = list(begin)
        self._kept: list[bytes] = []
        self._told: set[str] = set()

    def next_input(self) -> bytes:
        """Another input."""
        from_kept = self._kept and self._chance.random() < 0.25
        data = self._chance.choice(self._kept if from_kept else self._begin)
        return mutated(self._reader, data, self._chance.choice(self._begin), self._chance)

    def learn(self, data: bytes, outcome: Outcome) -> None:
        """Keep an input that led to words not heard before."""
        if not outcome.told or outcome.told in self._told:
            return
        self._told.add(outcome.told)
        if len(self._kept) < _MOST_KEPT:
            self._kept.append(data)
        else:
            self._kept[self._chance.randrange(_MOST_KEPT)] = data
