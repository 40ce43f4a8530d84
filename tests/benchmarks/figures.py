"""What a benchmark tells: figures beside their goals, and how they are printed.

Every suite is a module here with `figures(words)`, which takes the words of its own command line
and yields figures as they are measured. What else it has to say goes to stderr, by `progress`.
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

Result = TypeVar("Result")


@dataclass(frozen=True)
class Figure:
    """One figure of a suite; `met` is None where there is no goal, or nothing could be measured."""

    suite: str
    name: str
    measured: str
    goal: str = ""
    met: bool | None = None

    def __post_init__(self) -> None:
        if self.met is not None:  # numpy's True and False are others than Python's
            object.__setattr__(self, "met", bool(self.met))

    @property
    def verdict(self) -> str:
        return {True: "met", False: "MISSED", None: ""}[self.met]


class NotHereError(Exception):
    """What a suite needs is not on this machine; the message says what."""


def at_most(suite: str, name: str, value: float, most: float, unit: str = "") -> Figure:
    """A figure with two digits that may be no greater than its goal."""
    tail = f" {unit}" if unit else ""
    return Figure(suite, name, f"{value:.2f}{tail}", f"at most {most:g}{tail}", value <= most)


def all_of(suite: str, name: str, good: int, count: int) -> Figure:
    """A figure that counts; the goal is all of them."""
    return Figure(suite, name, f"{good} of {count}", "all", good == count)


def line_of(figure: Figure) -> str:
    """A figure as a line of text."""
    goal = f"goal {figure.goal}" if figure.goal else ""
    return f"{figure.name:50} {figure.measured:>30}  {goal:32} {figure.verdict}".rstrip()


def run_alone(figures: Callable[[Sequence[str]], Iterator[Figure]]) -> int:
    """Print a suite's figures as they come; returns 1 if a goal is missed, 2 if it can't run."""
    missed = 0
    try:
        for figure in figures(sys.argv[1:]):
            print(line_of(figure), flush=True)
            missed += figure.met is False
    except NotHereError as absent:
        progress(f"not run: {absent}")
        return 2
    return min(missed, 1)


def progress(text: str) -> None:
    """Tell what is going on, beside the figures."""
    print(f"  {text}", file=sys.stderr, flush=True)


def clocked(work: Callable[[], object]) -> float:
    """Seconds of the clock that some work takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def processor(work: Callable[[], Result]) -> tuple[Result, float]:
    """What some work returns, and the seconds that it keeps the processor busy, those of the
    processes that it begins and waits for counted too."""
    start = _busy_s()
    result = work()
    return result, _busy_s() - start


def _busy_s() -> float:
    told = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(it.ru_utime + it.ru_stime for it in told)
