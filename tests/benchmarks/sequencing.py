"""How short the ways are and how few the colour blocks: `python -m tests.benchmarks.sequencing`.

Routes stand beside the shortest there are (integer programming) or a lower bound (Held and Karp),
colour blocks beside the bound of their own search; seconds are of the processor. `--effort 4` lets
the proofs of the colour blocks keep four times as many states.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from applique.sequence.colours.fewest import fewest_blocks
from applique.sequence.colours.tasks import Tasks
from applique.sequence.ways.begun import nearest_first
from applique.sequence.ways.route import shortest_route
from tests.benchmarks.figures import Figure, processor, run_alone
from tests.sequence.ways.routes import length_mm, lower_bound_mm, shortest_through_mm

SIDE_MM = 400.0
SEEDS = (0, 1, 2, 3)
PIECES = (30, 90, 200)
LOOSE = 4
CLUSTER = 6
"""Pieces lie in clusters of so many, as leaves and petals do."""

PATCHES = 0.25
"""Share of pieces that are cut in the hoop where methods are mixed: laid two blocks ahead."""

SUITE = "sequencing"


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """Ways of both sizes, long ways, colour blocks."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("--effort", type=int, default=1)
    parser.add_argument("--pieces", type=int, nargs="+", default=list(PIECES))
    parser.add_argument("--seeds", type=int, nargs="+", default=list(SEEDS))
    arguments = parser.parse_args(words)
    yield from routes(arguments.seeds)
    yield from large_routes()
    yield from blocks(arguments.pieces, arguments.seeds, arguments.effort)


def routes(seeds: Sequence[int]) -> Iterator[Figure]:
    """Routes against the shortest or a lower bound."""
    for count, most_percent, most_s in ((90, 0.5, 1.0), (500, 3.0, 5.0)):
        for seed in seeds:
            points = np.random.default_rng(seed).uniform(0, SIDE_MM, (count, 2))
            order, seconds = processor(lambda p=points: shortest_route(p, p, [[]] * len(p)))
            found_mm = length_mm(points, points, order)
            exact = count < 100
            least_mm = shortest_through_mm(points) if exact else lower_bound_mm(points, found_mm)
            percent = 100 * (found_mm / least_mm - 1)
            yield Figure(
                SUITE,
                f"route of {count}, seed {seed}, above {'shortest' if exact else 'bound'}",
                f"{percent:.2f} %, {seconds:.2f} s",
                f"<= {most_percent} %, {most_s:.0f} s",
                percent <= most_percent and seconds <= most_s,
            )


def large_routes() -> Iterator[Figure]:
    """Routes that are improved in windows, against going to the nearest, in time that grows in
    proportion."""
    for count in (2_000, 5_000):
        starts = np.random.default_rng(count).uniform(0, SIDE_MM, (count, 2))
        ends = starts + np.random.default_rng(1).normal(0, 3, (count, 2))
        waits: list[list[int]] = [[] for _ in range(count)]
        nearest_mm = length_mm(starts, ends, nearest_first(starts, ends, waits, None))
        order, seconds = processor(lambda s=starts, e=ends, w=waits: shortest_route(s, e, w))
        share = length_mm(starts, ends, order) / nearest_mm
        limit_s = count * 0.004
        yield Figure(
            SUITE,
            f"route of {count} against nearest first",
            f"{share:.2f}, {seconds:.2f} s",
            f"<= 0.90, {limit_s:.0f} s",
            share <= 0.9 and seconds <= limit_s,
        )


def blocks(pieces: Sequence[int], seeds: Sequence[int], effort: int) -> Iterator[Figure]:
    """Colour blocks against their own bound."""
    for count, colours, most_share, most_s in (
        (30, 4, 1.0, 1.0),
        (30, 8, 1.0, 1.0),
        (90, 4, 1.0, 20.0),
        (200, 4, 1.15, 60.0),
        (200, 10, 1.15, 60.0),
    ):
        if count not in pieces:
            continue
        for how in ("cut first", "edges last", "mixed"):
            for seed in seeds:
                tasks = applique_block(seed, count, colours, how)
                found, seconds = processor(lambda t=tasks: fewest_blocks(t, effort))
                goal = "proven" if most_share == 1 else f"<= {most_share} x bound"
                yield Figure(
                    SUITE,
                    f"{count} pieces, {colours} colours, {how}, seed {seed}",
                    f"{found.count} of {found.bound}, {seconds:.2f} s",
                    f"{goal}, {most_s:.0f} s",
                    found.count <= most_share * found.bound and seconds <= most_s,
                )


def applique_block(seed: int, count: int, colours: int, how: str) -> Tasks:
    """Boxes in clusters, each lying on the earlier ones that it overlaps."""
    chance = np.random.default_rng(seed)
    clusters = max(1, round(count / CLUSTER))
    centres = chance.uniform(0, 60 * np.sqrt(clusters), (clusters, 2))
    middles = centres[chance.integers(clusters, size=count)] + chance.normal(0, 15, (count, 2))
    halves = chance.uniform(5, 17, (count, 2))
    boxes = shapely.box(*(middles - halves).T, *(middles + halves).T)
    below: list[list[int]] = [[] for _ in range(count)]
    for one, other in shapely.STRtree(boxes).query(boxes, predicate="intersects").T.tolist():
        if one < other:
            below[other].append(one)
    names = [str(colour) for colour in chance.integers(colours, size=count)]
    patches = chance.random(count) < PATCHES
    lag = {"cut first": [1] * count, "edges last": [0] * count}.get(how)
    lag = lag or np.where(patches, 2, 1).tolist()
    return Tasks(names, [sorted(found) for found in below], lag, [k > 0 for k in lag], LOOSE)


if __name__ == "__main__":
    sys.exit(run_alone(figures))
