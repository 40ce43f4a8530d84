"""The fewest hoopings beside their goals: `uv run python -m tests.benchmarks.hoopings [seeds]`.

Blocks are those of `hooping_cases.py`, each in motifs and at random, plain and pinned, for each
field alone, with and without turning, and for mixtures of fields. Times are processor seconds.
`--parts 12 30` takes blocks of these sizes alone.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from applique.hoops.grouping.candidates import window_sets
from applique.hoops.grouping.certificate import faults_in
from applique.hoops.grouping.convex import sets_in_order
from applique.hoops.grouping.cover import certificate_of, weights_over
from applique.hoops.grouping.group import group
from applique.hoops.grouping.order import order_of
from applique.hoops.problem import Problem, SizeMm
from tests.benchmarks.figures import Figure, all_of, at_most, progress, run_alone
from tests.benchmarks.hooping_cases import FIELDS_MM, MIXTURES_MM, block, windows_of

SUITE = "hoopings"
SMALL_PARTS = (12, 17, 24, 30)
PARTS = (*SMALL_PARTS, 90, 200)
SEEDS = 3
LARGE_FIELD_MM = (160, 260)


@dataclass(frozen=True)
class Run:
    """One block: `large` says that a field of 160 x 260 mm or more is among those owned."""

    parts: int
    large: bool
    motifs: bool
    count: int
    bound: int
    certified: int
    seconds: float
    certificate_seconds: float
    check_seconds: float
    faults: int


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """What is proven of blocks of each size, and in what time."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("seeds", type=int, nargs="?", default=SEEDS)
    parser.add_argument("--parts", type=int, nargs="+", choices=PARTS, default=list(PARTS))
    arguments = parser.parse_args(words)
    runs: list[Run] = []
    for parts in sorted(arguments.parts):
        runs += measured(parts, arguments.seeds)
    if any(run.parts <= SMALL_PARTS[-1] for run in runs):
        yield from small(runs)
    if 90 in arguments.parts:
        yield from middle(runs)
    if 200 in arguments.parts:
        yield from largest(runs)
    faults = sum(run.faults for run in runs)
    yield Figure(SUITE, "certificates at fault, all sizes", str(faults), "0", faults == 0)


def owned() -> Iterator[tuple[tuple[SizeMm, ...], bool]]:
    for field in FIELDS_MM:
        yield (field,), False
        yield (field,), True
    for fields in MIXTURES_MM:
        yield fields, True


def measured(parts: int, seeds: int) -> Iterator[Run]:
    for fields, turning in owned():
        large = any(
            min(field) >= LARGE_FIELD_MM[0] and max(field) >= LARGE_FIELD_MM[1] for field in fields
        )
        runs = [
            run_of(block(parts, seed, windows_of(fields, turning), motifs, pinned), large, motifs)
            for motifs in (True, False)
            for pinned in (False, True)
            for seed in range(seeds)
        ]
        names = "+".join(f"{width}x{height}" for width, height in fields)
        beyond = [run.count - run.bound for run in runs]
        progress(
            f"{parts:3} parts, {names}{', turned too' if turning else ''}: "
            f"{sum(run.count for run in runs)} hoopings, bounds {sum(run.bound for run in runs)}, "
            f"certified {sum(run.certified for run in runs)}, most beyond {max(beyond)}, "
            f"proven {beyond.count(0)} of {len(runs)}, "
            f"{max(run.seconds for run in runs):.2f} s at most"
        )
        yield from runs


def run_of(problem: Problem, large: bool, motifs: bool) -> Run:
    start = time.process_time()
    held = window_sets(problem.boxes, problem.windows)
    sets = sets_in_order(held, order_of(problem))
    certificate = certificate_of(sets, weights_over(sets))
    certified = time.process_time()
    grouping = group(problem)
    end = time.process_time()
    order = problem.below, problem.apart
    faults = faults_in(certificate, problem.boxes, problem.windows, *order)
    checked = time.process_time()
    faults += faults_in(grouping.certificate, problem.boxes, problem.windows, *order)
    return Run(
        parts=len(problem.boxes),
        large=large,
        motifs=motifs,
        count=grouping.count,
        bound=grouping.bound,
        certified=grouping.certificate.bound,
        seconds=end - certified,
        certificate_seconds=certified - start,
        check_seconds=checked - end,
        faults=len(faults),
    )


def small(runs: list[Run]) -> Iterator[Figure]:
    some = [run for run in runs if run.parts <= SMALL_PARTS[-1]]
    yield _proven("up to 30 parts, proven", some)
    yield _slowest("up to 30 parts, slowest", (run.seconds for run in some), 1)


def middle(runs: list[Run]) -> Iterator[Figure]:
    some = [run for run in runs if run.parts == 90 and run.large]
    for name, motifs in (("in motifs", True), ("at random", False)):
        these = [run for run in some if run.motifs == motifs]
        yield _proven(f"90 parts {name}, 160x260 and larger, proven", these)
    yield _slowest("90 parts, 160x260 and larger, slowest", (run.seconds for run in some), 20)
    yield _within_tenth("90 parts, smaller fields", [run for run in runs if run.parts == 90])


def largest(runs: list[Run]) -> Iterator[Figure]:
    some = [run for run in runs if run.parts == 200]
    wide = [run for run in some if run.large]
    yield _slowest("certificate for 200 parts", (run.certificate_seconds for run in some), 2)
    yield _slowest("its check", (run.check_seconds for run in some), 2)
    good = sum(run.count <= run.bound + 1 for run in wide)
    yield all_of(SUITE, "200 parts, 160x260 and larger, one more at most", good, len(wide))
    yield _within_tenth("200 parts, smaller fields", some)


def _slowest(name: str, seconds: Iterable[float], most: float) -> Figure:
    return at_most(SUITE, name, max(seconds), most, "s")


def _proven(name: str, runs: list[Run]) -> Figure:
    return all_of(SUITE, name, sum(run.count == run.bound for run in runs), len(runs))


def _within_tenth(name: str, runs: list[Run]) -> Figure:
    """Only the fields below 160x260 count, as the goal says."""
    some = [run for run in runs if not run.large]
    good = sum(run.count <= math.ceil(1.1 * run.bound) for run in some)
    return all_of(SUITE, f"{name}, within a tenth", good, len(some))


if __name__ == "__main__":
    sys.exit(run_alone(figures))
