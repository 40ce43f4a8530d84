"""How sure and how quick a library of templates is about its duplicates.

`python -m tests.benchmarks.library [--seed 1] [--count 2000] [--copies 200] [--sweep]` plants
copies, turned, mirrored and traced anew, in a library full of near misses and prints each figure
beside its goal. `--sweep` adds how far copies of other wobbles, and other near misses, lie apart.
"""

from __future__ import annotations

import argparse
import itertools
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon, affinity

from applique.library.likeness import likenesses, likenesses_between
from tests.benchmarks.figures import Figure, all_of, at_most, processor, run_alone
from tests.benchmarks.library_commands import command_figures

SUITE = "library"

WOBBLE_MM = 0.15
"""How far a second tracing strays at most, to either side."""

WAVE_MM = 15.0
"""A hand that wobbles does so in waves no shorter than this."""

FLAT_MM = 0.01
"""Curves are flattened like those of a drawing."""

MISS_MM = 1.0
"""Templates made different on purpose differ by this much in one measure."""

Chance = np.random.Generator


@dataclass(frozen=True, eq=False)
class PlantedLibrary:
    """Shapes in mm and the pairs of them, (first, second), that are one template."""

    shapes: list[MultiPolygon]
    pairs: frozenset[tuple[int, int]]


def planted_library(
    seed: int, count: int, copies: int, wobble_mm: float = WOBBLE_MM
) -> PlantedLibrary:
    """A library of so many templates, so many of them copies of others, shuffled."""
    chance = np.random.default_rng(seed)
    originals = near_misses(chance, count - copies)
    chosen = chance.choice(len(originals), copies, replace=False)
    copied = [anywhere(chance, retraced(chance, originals[k], wobble_mm)) for k in chosen]
    order = chance.permutation(count)
    place = np.argsort(order)
    both = [*originals, *copied]
    planted = zip(place[chosen], place[count - copies :], strict=True)
    return PlantedLibrary(
        [both[k] for k in order], frozenset((int(min(p)), int(max(p))) for p in planted)
    )


def near_misses(chance: Chance, count: int, miss_mm: float = MISS_MM) -> list[MultiPolygon]:
    """Templates of many kinds, each with neighbours that differ from it by about 1 mm."""
    shares = {kind: int(share * count) for kind, share in KINDS.items()}
    shares[outlines] += count - sum(shares.values())
    made = [kind(chance, number, miss_mm) for kind, number in shares.items()]
    return [MultiPolygon([shape]) for shape in itertools.chain.from_iterable(made)]


def circles(_: Chance, count: int, miss_mm: float) -> list[Polygon]:
    return [polar(4 + miss_mm * k / 2) for k in range(count)]


def rectangles(_: Chance, count: int, miss_mm: float) -> list[Polygon]:
    sides = [(w, h) for w in range(16) for h in range(w + 1)]
    boxes = [
        shapely.box(0, 0, base + w * miss_mm, base / 1.5 + h * miss_mm)
        for base in (30, 60, 90, 120)
        for w, h in sides
    ]
    return boxes[:count]


def ellipses(_: Chance, count: int, miss_mm: float) -> list[Polygon]:
    made = [
        affinity.scale(polar(1.0, FLAT_MM / 60), 40 + k * miss_mm / 2, 20 + j * miss_mm / 2)
        for k, j in itertools.product(range(20), range(20))
    ]
    return made[:count]


def corners_moved(chance: Chance, count: int, miss_mm: float) -> list[Polygon]:
    """Polygons of any and of equal corners, and stars, each beside itself with a corner moved."""
    made = []
    for k in range((count + 1) // 2):
        number = 5 + k % 5
        radii = 25 + k / 4 + chance.uniform(-5, 5, number) * (k % 3 == 0)
        radii = radii * np.where(np.arange(number) % 2 + (k % 3 < 2), 1, 0.5 + 0.02 * number)
        corners = at_angles(radii, np.arange(number) * 2 * np.pi / number)
        moved = corners.copy()
        moved[1] *= 1 + miss_mm * (-1) ** k / np.hypot(*moved[1])
        made += [Polygon(corners), Polygon(moved)]
    return made[:count]


def leaves(_: Chance, count: int, miss_mm: float) -> list[Polygon]:
    """Leaves of 55 mm and more, each 2 % larger than another."""
    made = []
    for k in range(count):
        half, wide = 27.5 * (1 + 0.02 * miss_mm) ** (k // 3), (0.35, 0.45, 0.6)[k % 3]
        radius = half * (1 + wide**2) / (2 * wide)
        away = radius - half * wide
        disc = shapely.Point(0, away).buffer(radius, quad_segs=64)
        made.append(disc.intersection(shapely.Point(0, -away).buffer(radius, quad_segs=64)))
    return made


def lobed(chance: Chance, count: int, miss_mm: float) -> list[Polygon]:
    """Shapes that look the same when turned by a half to a fifth, mirrored too or not."""
    return [
        polar(18 + miss_mm * (k // 8) / 2, swings={k % 4 + 2: 0.2, 2 * (k % 4 + 2): 0.07 * side})
        for k in range(count)
        for side in [1 if k % 8 < 4 else 1j]
    ]


def stars(_: Chance, count: int, miss_mm: float) -> list[Polygon]:
    return [
        Polygon(
            at_angles(np.tile([tip, tip * 0.45], points), np.arange(2 * points) * np.pi / points)
        )
        for k in range(count)
        for points, tip in [(4 + k % 5, 15 + miss_mm * (k // 5))]
    ]


def holed(chance: Chance, count: int, miss_mm: float) -> list[Polygon]:
    """Outlines with a hole that is wider, or lies further on, by 1 mm from one to the next."""
    made = []
    for k in range(count):
        if k % 10 == 0:
            outline = any_outline(chance, 40.0)
        hole = shapely.Point(miss_mm * (k % 5), 3).buffer(6 + miss_mm * (k % 10 // 5) / 2)
        made.append(outline.difference(hole))
    return made


def outlines(chance: Chance, count: int, miss_mm: float) -> list[Polygon]:
    """Smooth outlines as drawn by hand."""
    return [any_outline(chance, chance.uniform(15, 70)) for _ in range(count)]


KINDS: dict[Callable[[Chance, int, float], list[Polygon]], float] = {
    circles: 0.05,
    rectangles: 0.12,
    ellipses: 0.12,
    corners_moved: 0.15,
    leaves: 0.1,
    lobed: 0.1,
    stars: 0.07,
    holed: 0.09,
    outlines: 0.2,
}
"""Kinds of templates and which share of a library they make."""


def any_outline(chance: Chance, radius_mm: float) -> Polygon:
    waves = np.arange(2, 9)
    size = chance.normal(0, 0.25, len(waves)) / waves
    phase = np.exp(2j * np.pi * chance.random(len(waves)))
    return polar(radius_mm, swings=dict(zip(waves.tolist(), size * phase, strict=True)))


def polar(
    radius_mm: float, flat_mm: float = FLAT_MM, swings: dict[int, complex] | None = None
) -> Polygon:
    """A circle whose radius swings: wave k by the given share, its phase that of the number."""
    angles = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    swing = sum(
        (np.real(size * np.exp(1j * k * angles)) for k, size in (swings or {}).items()),
        np.zeros(720),
    )
    ring = at_angles(radius_mm * np.maximum(1 + swing, 0.15), angles)
    return shapely.simplify(Polygon(ring), flat_mm, preserve_topology=False)


def at_angles(radii: np.ndarray, angles: np.ndarray) -> np.ndarray:
    return np.asarray(radii)[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def retraced(
    chance: Chance, shape: MultiPolygon, wobble_mm: float, stands_off_mm: float = 0.0
) -> MultiPolygon:
    """A shape traced anew: other points along it, another start, a smooth wobble, and larger by so
    much all round."""
    wider = shape.buffer(stands_off_mm, join_style="mitre") if stands_off_mm else shape
    part = shapely.get_parts(wider)[0]
    outer, *inner = (_wobbled(chance, r, wobble_mm) for r in [part.exterior, *part.interiors])
    clean = shapely.get_parts(Polygon(outer, inner).buffer(0))  # a tip may have crossed itself
    return MultiPolygon([max(clean, key=shapely.area)])


def _wobbled(chance: Chance, ring: shapely.LinearRing, wobble_mm: float) -> np.ndarray:
    close = shapely.segmentize(
        shapely.simplify(ring, FLAT_MM, preserve_topology=False), chance.uniform(0.7, 2.0)
    )
    points = shapely.get_coordinates(close)[:-1]
    points = np.roll(points, chance.integers(len(points)), axis=0)[:: chance.choice([-1, 1])]
    along = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    outward = np.stack([along[:, 1], -along[:, 0]], axis=1) / np.hypot(*along.T)[:, None]
    step = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    angle = np.cumsum(step) * 2 * np.pi / step.sum()
    waves = np.arange(1, max(int(step.sum() / WAVE_MM), 3) + 1)
    sway = np.cos(angle[:, None] * waves + 2 * np.pi * chance.random(len(waves)))
    sway = sway @ chance.uniform(0.3, 1, len(waves))
    return points + outward * (wobble_mm * sway / np.abs(sway).max())[:, None]


def anywhere(chance: Chance, shape: MultiPolygon) -> MultiPolygon:
    """A shape mirrored or not, turned and moved."""
    sided = affinity.scale(shape, chance.choice([-1, 1]), 1)
    turned = affinity.rotate(sided, chance.uniform(0, 360))
    return affinity.translate(turned, *chance.uniform(-200, 200, 2))


def duplicates(library: PlantedLibrary) -> Iterator[Figure]:
    """What is found of the copies in a planted library, and how long it takes."""
    count, copies = len(library.shapes), len(library.pairs)
    found, seconds = processor(lambda: likenesses(library.shapes))
    pairs = {(alike.first, alike.second) for alike in found}
    planted = [alike for alike in found if (alike.first, alike.second) in library.pairs]
    false = len(pairs - library.pairs)
    apart = [max((getattr(a, name) for a in planted), default=0.0) for name in MEASURES]
    near = all(off <= most for off, most in zip(apart, MOST_APART_MM, strict=True))
    yield all_of(SUITE, "copies found", len(planted), copies)
    yield Figure(SUITE, "false pairs", str(false), "0", false == 0)
    name = f"s of the processor for {count:,} templates"
    yield at_most(SUITE, name, seconds, MOST_S)
    name, goal = "copies apart at most, mm / RMS", " / ".join(f"{it:.2f}" for it in MOST_APART_MM)
    yield Figure(SUITE, name, " / ".join(f"{it:.2f}" for it in apart), goal, near)


MEASURES = ("most_mm", "off_mm")
MOST_S = 1.5
MOST_APART_MM = (0.40, 0.25)


def wobbles(seed: int, count: int) -> Iterator[Figure]:
    """How many copies are found if the hand wobbles more and the pen stands off evenly."""
    chance = np.random.default_rng(seed)
    originals = near_misses(chance, count)
    for stands_off_mm, wobble_mm in itertools.product((0.0, 0.1, 0.2), (0.15, 0.2, 0.25, 0.3)):
        copies = [
            anywhere(chance, retraced(chance, shape, wobble_mm, stands_off_mm))
            for shape in originals
        ]
        found = [a for a in likenesses_between(originals, copies) if a.first == a.second]
        name = f"copies found, pen {stands_off_mm:.1f} and wobble {wobble_mm:.2f} mm"
        if wobble_mm == WOBBLE_MM and stands_off_mm < 0.2:
            yield all_of(SUITE, name, len(found), count)
        else:
            yield Figure(SUITE, name, f"{len(found)} of {count}")


def misses(seed: int, count: int) -> Iterator[Figure]:
    """How many pairs of near misses of one kind are taken for one template."""
    for miss_mm, kind in itertools.product((0.5, 0.75, MISS_MM), KINDS):
        found = len(likenesses(kind(np.random.default_rng(seed), count, miss_mm)))
        name = f"taken for one, {kind.__name__} {miss_mm:.2f} mm apart"
        if miss_mm == MISS_MM:
            yield Figure(SUITE, name, str(found), "0", found == 0)
        else:
            yield Figure(SUITE, name, str(found))


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """Copies and false pairs, then the commands, then what was asked for beside them."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--copies", type=int, default=200)
    parser.add_argument("--sweep", action="store_true", help="other wobbles and near misses too")
    arguments = parser.parse_args(words)
    planted = planted_library(arguments.seed, arguments.count, arguments.copies)
    yield from duplicates(planted)
    yield from command_figures(SUITE, planted.shapes)
    if arguments.sweep:
        yield from wobbles(arguments.seed, 300)
        yield from misses(arguments.seed, 100)


if __name__ == "__main__":
    sys.exit(run_alone(figures))
