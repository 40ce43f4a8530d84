"""Blocks for the search for the fewest hoopings: boxes of stitches as quilts have them.

A block is 250 to 450 mm square. Its parts are 8 to 90 mm across. Half of the blocks are set with
motifs, flowers say, of 5 to 12 parts that overlap each other a lot; in the others the parts lie
anywhere. A part lies on those drawn before it whose boxes, 1 mm larger all round, meet its own.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np

from applique.hoops.problem import Problem, SizeMm

FIELDS_MM: tuple[SizeMm, ...] = ((100, 100), (130, 180), (160, 260), (200, 300), (260, 400))
MIXTURES_MM: tuple[tuple[SizeMm, ...], ...] = (
    ((100, 100), (130, 180)),
    ((130, 180), (160, 260)),
    ((100, 100), (160, 260), (200, 300)),
    ((130, 180), (200, 200), (260, 400)),
)
SMALLEST_MM, LARGEST_MM = 8.0, 90.0
NEAR_MM = 1.0
COLOURS = ("red", "green", "blue", "gold", "white", "plum")


def windows_of(fields: tuple[SizeMm, ...], turning: bool) -> tuple[SizeMm, ...]:
    """Fields as they may lie on the block; turned by a quarter as well if `turning`."""
    both = [*fields, *((height, width) for width, height in fields)]
    return tuple(dict.fromkeys(both if turning else fields))


def block(
    parts: int, seed: int, windows: tuple[SizeMm, ...], motifs: bool, pinned: bool = False
) -> Problem:
    """A block of `parts` parts. `pinned` adds strict order to some pairs and says of two parts
    that lie on nothing which hooping they go into."""
    random = Random(f"{parts} {seed} {motifs}")
    side = random.uniform(250, 450)
    room = [max(size[axis] for size in windows) for axis in (0, 1)]
    boxes = _in_motifs(random, parts, side) if motifs else _anywhere(random, parts, side)
    boxes = np.round(_within(boxes, side, room), 3)
    below = _overlapped(boxes)
    problem = Problem(
        boxes=boxes,
        windows=windows,
        below=below,
        apart=[()] * parts,
        colours=[random.choice(COLOURS) for _ in range(parts)],
    )
    return _pinned(problem, random) if pinned else problem


def _anywhere(random: Random, parts: int, side: float) -> np.ndarray:
    rows = []
    for _ in range(parts):
        width, height = (random.uniform(SMALLEST_MM, LARGEST_MM) for _ in range(2))
        x, y = random.uniform(0, side - width), random.uniform(0, side - height)
        rows.append((x, y, x + width, y + height))
    return np.array(rows)


def _in_motifs(random: Random, parts: int, side: float) -> np.ndarray:
    rows: list[tuple[float, float, float, float]] = []
    while len(rows) < parts:
        middle = [random.uniform(35, side - 35) for _ in range(2)]
        reach = random.uniform(20, 55)
        for _ in range(min(random.randint(5, 12), parts - len(rows))):
            half = [random.uniform(SMALLEST_MM, LARGEST_MM) / 2 for _ in range(2)]
            x, y = (random.gauss(at, reach / 2) for at in middle)
            rows.append((x - half[0], y - half[1], x + half[0], y + half[1]))
    return np.array(rows)


def _within(boxes: np.ndarray, side: float, room: list[float]) -> np.ndarray:
    """Boxes moved into the block, and none larger than the largest window."""
    size = np.minimum(boxes[:, 2:] - boxes[:, :2], np.minimum(room, side))
    low = np.clip(boxes[:, :2], 0, side - size)
    return np.hstack([low, low + size])


def _overlapped(boxes: np.ndarray) -> list[tuple[int, ...]]:
    low, high = boxes[:, :2] - NEAR_MM / 2, boxes[:, 2:] + NEAR_MM / 2
    meet = (low[:, None] < high[None]).all(axis=2) & (low[None] < high[:, None]).all(axis=2)
    return [tuple(np.flatnonzero(meet[part, :part]).tolist()) for part in range(len(boxes))]


def _pinned(problem: Problem, random: Random) -> Problem:
    apart = [tuple(lower for lower in lowers if random.random() < 0.04) for lowers in problem.below]
    ground = [part for part, lowers in enumerate(problem.below) if not lowers]
    fixed = {part: number for number, part in enumerate(random.sample(ground, min(2, len(ground))))}
    return replace(problem, apart=apart, fixed=fixed)
