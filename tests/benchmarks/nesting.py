"""How close nesting comes to the best known: `python -m tests.benchmarks.nesting`.

Name strips, sheets or quilt for a part. Strips: the published instances (Albano 1980, Blazewicz
1993, Dagli 1997, Fujita 1993, Jakobs 1996, and those of Mao, Marques and Oliveira, as the EURO
special interest group ESICUP collects them) against the records that come with them, beside a plain
run of the solver on both cores in the same session, each in turn. Sheets: 60 mixed shapes against
the best of many rectangle packings (rectpack) and the lower bound. Quilt: 2,000 pieces of 12
fabrics. Seconds are of the clock, on a machine that does nothing else.
"""

from __future__ import annotations

import argparse
import json
import math
import statistics
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from applique.cutting.bound import least_sheets
from applique.cutting.nested import NestedSheet, NestingTask, rectangle
from applique.cutting.validity import faults_of
from applique.nesting.shapes import distinct_angles
from applique.nesting.sheets import nest
from applique.nesting.solver import Effort, Layout, Run
from applique.nesting.strip import Strip, shortest
from tests.benchmarks.figures import Figure, run_alone
from tests.nesting.rectangles import fewest_rectangle_sheets

DATA = Path(__file__).parents[3] / "shared" / "data" / "nesting"
SUITE = "nesting"

MARGIN_MM, GAP_MM = 6.0, 3.0
SHAPES = 60
QUILT_FABRICS, QUILT_PIECES = 12, 2000
NO_LAYOUT_PERCENT = 100.0
FIRST_RESULT_S = 30.0


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """The parts that are asked for."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("parts", nargs="*", default=["strips", "sheets", "quilt"])
    parser.add_argument("--seconds", type=int, nargs="+", default=[5, 30])
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3])
    parser.add_argument("--instances", nargs="+", default=[])
    arguments = parser.parse_args(words)
    if "strips" in arguments.parts:
        for seconds in arguments.seconds:
            yield from strips(seconds, arguments.seeds, arguments.instances)
    if "sheets" in arguments.parts:
        yield from sheets(arguments.seeds)
    if "quilt" in arguments.parts:
        yield from quilt()


@dataclass(frozen=True, eq=False)
class Instance:
    """A published strip, the width of its record and the density of that in percent."""

    name: str
    strip: Strip
    area: float
    record_percent: float

    def gap_percent(self, width: float) -> float:
        """By how much of it a width misses the record density."""
        density = 100 * self.area / (width * self.strip.height)
        return 100 * (1 - density / self.record_percent)


def instances(wanted: Sequence[str]) -> list[Instance]:
    """The published instances, each piece on its own."""
    records = json.loads((DATA / "best-known.json").read_text("utf-8"))
    found = []
    for name, record in records.items():
        if wanted and name not in wanted:
            continue
        given = json.loads((DATA / f"{name}.json").read_text("utf-8"))
        shapes: list[Polygon] = []
        angles: list[tuple[float, ...]] = []
        for item in given["items"]:
            shape = Polygon(item["shape"]["data"])
            shapes += [shape] * item["demand"]
            angles += [tuple(item["allowed_orientations"])] * item["demand"]
        strip = Strip(tuple(shapes), tuple(angles), given["strip_height"])
        found.append(Instance(name, strip, record["total_area"], record["record_density_pct"]))
    return found


def strips(seconds: int, seeds: Sequence[int], wanted: Sequence[str]) -> Iterator[Figure]:
    """Gaps to the record density in percent of it, medians of the seeds."""
    if not DATA.exists():
        yield Figure(SUITE, f"strips, {seconds} s", "not run: ../shared/data/nesting is not here")
        return
    late = 0
    ours: list[float] = []
    plain: list[float] = []
    worst_goal = 5.5 if seconds >= 30 else 100.0
    for instance in instances(wanted):
        own, others = [], []
        for seed in seeds:
            own.append(instance.gap_percent(_ours(instance.strip, seconds, seed)))
            others.append(instance.gap_percent(_plain(instance.strip, seconds, seed)))
        late += own.count(NO_LAYOUT_PERCENT)
        ours.append(statistics.median(own))
        plain.append(statistics.median(others))
        yield Figure(
            SUITE,
            f"{instance.name}, {seconds} s",
            f"{ours[-1]:.2f} % (plain {plain[-1]:.2f})",
            f"{min(worst_goal, plain[-1] + 1):.2f} %",
            ours[-1] <= min(worst_goal, plain[-1] + 1.0),
        )
    yield Figure(SUITE, f"no layout within {seconds} s", f"{late} times", "never", late == 0)
    goal = 3.0 if seconds >= 30 else 5.0
    mean, other = statistics.mean(ours), statistics.mean(plain)
    name, told = f"mean of {len(ours)}, {seconds} s", f"{mean:.2f} % (plain {other:.2f})"
    if wanted:
        yield Figure(SUITE, name, told)  # the goal is for all of them
    else:
        met = mean <= goal and mean < other
        yield Figure(SUITE, name, told, f"{goal:.1f} %, under plain", met)


def _ours(strip: Strip, seconds: int, seed: int) -> float:
    """How long our layout is; infinite if there was none within its time."""
    angles = tuple(
        distinct_angles(shape, allowed)
        for shape, allowed in zip(strip.shapes, strip.angles, strict=True)
    )
    strip = Strip(strip.shapes, angles, strip.height)
    begun = time.monotonic()
    found = shortest(strip, seconds, seed, 0.0, lambda length: True)
    if found is None or time.monotonic() - begun > seconds + 1.0:
        return math.inf
    _check_strip(strip, found)
    return found.length_mm


def _plain(strip: Strip, seconds: int, seed: int) -> float:
    """The solver alone with two workers, its time divided as it does by itself (4 : 1);
    infinite if it found nothing."""
    exploring = round(0.8 * seconds)
    run = Run(strip.items(), strip.height, Effort(exploring, seconds - exploring, 2, seed))
    while run.look(0.2):
        pass
    if run.best is None:
        return math.inf
    return run.best.length_mm


def _check_strip(strip: Strip, layout: Layout) -> None:
    """No overlap, and everything inside; lengths scaled to a strip 300 mm high."""
    scale = 300.0 / strip.height
    task = NestingTask(
        tuple(str(number) for number in range(len(strip.shapes))),
        tuple(
            MultiPolygon([shapely.transform(shape, lambda points: points * scale)])
            for shape in strip.shapes
        ),
        "any",
        (rectangle("strip", layout.length_mm * scale, 300.0, 1),),
        0.0,
        0.0,
    )
    places = tuple(
        type(it)(it.index, it.angle_degrees, it.x_mm * scale, it.y_mm * scale)
        for it in layout.placements
    )
    faults = faults_of(task, [NestedSheet(task.stocks[0], places)])
    if faults:
        raise SystemExit(f"not valid: {faults[0]}")


def sheets(seeds: Sequence[int]) -> Iterator[Figure]:
    """60 mixed shapes on few sheets, within 30 s."""
    for size_mm in ((305.0, 305.0), (305.0, 610.0)):
        for seed in seeds:
            task = mixed_task(SHAPES, seed, size_mm)
            begun = time.monotonic()
            nesting = nest(task, 28.0, lambda progress: True)
            seconds = time.monotonic() - begun
            faults = faults_of(task, nesting.sheets)
            closed = [share_used(task, sheet) for sheet in nesting.sheets[:-1]]
            most = min(fewest_rectangle_sheets(task), least_sheets(task) + 1)
            fullness = min(closed, default=1.0)
            yield Figure(
                SUITE,
                f"{SHAPES} shapes, {size_mm[0]:g}x{size_mm[1]:g}, seed {seed}",
                f"{len(nesting.sheets)} sheets, {fullness:.3f} full, {seconds:.0f} s",
                f"{most}, .80, 30 s",
                not faults and len(nesting.sheets) <= most and fullness >= 0.80 and seconds <= 30,
            )


def quilt() -> Iterator[Figure]:
    """2,000 pieces of 12 fabrics: all within five minutes, a first result in half a minute."""
    each = QUILT_PIECES // QUILT_FABRICS
    tasks = [mixed_task(each, seed, (305.0, 305.0)) for seed in range(QUILT_FABRICS)]
    for name, limit, given in (("first result", FIRST_RESULT_S, 0.0), ("whole", 300.0, 220.0)):
        begun = time.monotonic()
        count = bound = 0
        for task in tasks:
            nesting = nest(task, given / len(tasks), lambda progress: True)
            count += len(nesting.sheets)
            bound += nesting.bound
            if faults_of(task, nesting.sheets):
                raise SystemExit("not valid")
        seconds = time.monotonic() - begun
        yield Figure(
            SUITE,
            f"{QUILT_PIECES} pieces, {name}",
            f"{count} sheets, at least {bound}, {seconds:.0f} s",
            f"{limit:g} s",
            seconds <= limit,
        )


def mixed_task(count: int, seed: int, size_mm: tuple[float, float]) -> NestingTask:
    """Smooth shapes of 24 to 100 mm, free to turn."""
    generator = np.random.default_rng(seed)
    shapes = tuple(_smooth(generator, generator.uniform(12.0, 50.0)) for _ in range(count))
    stock = rectangle(f"{size_mm[0]:g}x{size_mm[1]:g}", *size_mm)
    names = tuple(str(number) for number in range(count))
    return NestingTask(names, shapes, "any", (stock,), GAP_MM, MARGIN_MM)


def _smooth(generator: np.random.Generator, size_mm: float) -> MultiPolygon:
    angle = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    waves = sum(
        0.25 / k * generator.normal() * np.cos(k * angle + generator.uniform(0, 2 * np.pi))
        for k in range(1, 6)
    )
    radius = np.clip(1 + waves, 0.3, None) * size_mm
    squashed = generator.uniform(0.5, 1.0)
    points = np.stack([radius * np.cos(angle), squashed * radius * np.sin(angle)], axis=1)
    parts = shapely.get_parts(Polygon(points).buffer(0))
    return MultiPolygon([max(parts, key=lambda part: part.area)])


def share_used(task: NestingTask, sheet: NestedSheet) -> float:
    """How full a sheet is, half the gap round every shape counted as its own."""
    width, height = sheet.stock.size_mm
    more = task.gap_mm - 2 * task.margin_mm
    grown = [task.shapes[it.index].buffer(task.gap_mm / 2).area for it in sheet.placements]
    return float(sum(grown)) / ((width + more) * (height + more))


if __name__ == "__main__":
    sys.exit(run_alone(figures))
