"""Quilts of any number of blocks for the benchmarks: quilt.toml and its drawings, always the same.

A block measures 254 mm and is strewn with leaves, discs, rounded squares, stars and flowers that
lie over one another, in twelve fabrics. With 25 pieces it takes about 33,000 stitches.
"""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable
from pathlib import Path

FABRICS = {
    "indigo": "#2b3f6b",
    "sea": "#2f6f8f",
    "mint": "#9fd0b8",
    "moss": "#5d7a45",
    "straw": "#e6d08a",
    "honey": "#e0a53c",
    "rust": "#b2562f",
    "brick": "#9c2f2f",
    "rose": "#e8a7a0",
    "plum": "#6a3d5f",
    "ash": "#8c9096",
    "linen": "#efe6d2",
}

PIECES = 25

_GROUND = "#f4efe6"
_FINISHED_MM = 254.0
_PAGE_MM = 279.4

_BESIDE = 0.8
"""Free beside the grid on which pieces stand, in steps of it."""

_REACH = 0.75
"""How far a piece reaches from its middle, in steps of the grid, give or take an eighth: pieces lie
on their neighbours. Measured for the stitches that a block is to take."""

_OFF = 0.08
"""How far a piece stands off its place in the grid at most, in steps of it."""

Point = tuple[float, float]


def write_quilt(folder: Path, blocks: int, pieces: int = PIECES) -> Path:
    """Write quilt.toml and the drawings of so many blocks, each of so many pieces, into a folder
    that is there; returns the path of quilt.toml."""
    for number in range(1, blocks + 1):
        path = folder / f"block-{number}.svg"
        path.write_text(block_text(number, pieces), encoding="utf-8", newline="\n")
    project = folder / "quilt.toml"
    project.write_text(_project_text(blocks), encoding="utf-8", newline="\n")
    return project


def block_text(number: int, pieces: int = PIECES) -> str:
    """The drawing of a block; every number has an arrangement of its own."""
    chance = random.Random(number)
    columns = math.ceil(math.sqrt(pieces))
    step = _FINISHED_MM / (columns + _BESIDE)
    first = (_PAGE_MM - (columns - 1) * step) / 2
    places = [(first + k % columns * step, first + k // columns * step) for k in range(pieces)]
    chance.shuffle(places)
    shapes = [_piece(k, place, step, chance) for k, place in enumerate(places, 1)]
    fabrics = {**FABRICS, "ground": _GROUND}
    told = "".join(f'<ap:fabric name="{name}" colour="{it}"/>' for name, it in fabrics.items())
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
        f'width="{_PAGE_MM}mm" height="{_PAGE_MM}mm" viewBox="0 0 {_PAGE_MM} {_PAGE_MM}" '
        f'ap:version="1" ap:block="Block {number}" ap:finished="254x254" '
        f'ap:seam-allowance="6.35" ap:background="ground"><metadata>{told}</metadata>'
        f"{''.join(shapes)}</svg>\n"
    )


def _piece(k: int, place: Point, step: float, chance: random.Random) -> str:
    x, y = (at + step * chance.uniform(-_OFF, _OFF) for at in place)
    shape = chance.choice(_SHAPES)(step * _REACH * chance.uniform(7 / 8, 9 / 8))
    fabric = chance.choice(sorted(FABRICS))
    return (
        f'<path id="piece-{k}" ap:piece="{k}" ap:fabric="{fabric}" fill="{FABRICS[fabric]}" '
        f'transform="translate({x:.2f},{y:.2f}) rotate({chance.randrange(360)})" d="{shape}"/>'
    )


def _leaf(reach: float) -> str:
    a, b = _short(reach), _short(0.45 * reach)
    c = _short(0.7 * reach)
    return f"M-{a},0 C-{b},-{c} {b},-{c} {a},0 C{b},{c} -{b},{c} -{a},0 Z"


def _disc(reach: float) -> str:
    r = _short(0.95 * reach)
    return f"M-{r},0 A{r},{r} 0 1 1 {r},0 A{r},{r} 0 1 1 -{r},0 Z"


def _square(reach: float) -> str:
    side, corner = 0.8 * reach, _short(0.2 * reach)
    far, near = _short(side), _short(side - 0.2 * reach)
    turn = f"A{corner},{corner} 0 0 1"
    return (
        f"M-{near},-{far} L{near},-{far} {turn} {far},-{near} L{far},{near} {turn} {near},{far} "
        f"L-{near},{far} {turn} -{far},{near} L-{far},-{near} {turn} -{near},-{far} Z"
    )


def _star(reach: float) -> str:
    return _closed([_at(k, 10, reach if k % 2 == 0 else 0.5 * reach) for k in range(10)])


def _flower(reach: float) -> str:
    """Six round petals; the line is drawn through 72 points."""
    return _closed(
        [_at(k, 72, reach * (0.72 + 0.28 * math.cos(k * math.pi / 6))) for k in range(72)]
    )


def _at(k: int, of: int, reach: float) -> Point:
    angle = 2 * math.pi * k / of
    return reach * math.cos(angle), reach * math.sin(angle)


def _closed(points: list[Point]) -> str:
    return f"M{' L'.join(f'{_short(x)},{_short(y)}' for x, y in points)} Z"


def _short(number: float) -> str:
    return f"{number:.3f}"


_SHAPES: tuple[Callable[[float], str], ...] = (_leaf, _disc, _square, _star, _flower)


def _project_text(blocks: int) -> str:
    names = [f"Block {number}" for number in range(1, blocks + 1)]
    columns = math.ceil(math.sqrt(blocks))
    rows = [names[k : k + columns] for k in range(0, blocks, columns)]
    fabrics = [f'"{name}" = "{colour}"' for name, colour in {**FABRICS, "ground": _GROUND}.items()]
    head = [
        'name = "Quilt of the benchmark"',
        "[fabrics]",
        *fabrics,
        "[machine]",
        'hoops = ["200x300"]',
        "turn = true",
        'hold = "laid on"',
        "[defaults]",
        'order = "fewest"',
        "[quilt]",
        f"rows = {json.dumps(rows)}",
        'sashing = { width = 38.1, fabric = "linen" }',
        'binding = { width = 63.5, fabric = "indigo" }',
    ]
    entries = [
        f'[[block]]\nname = "{name}"\nfile = "block-{number}.svg"\nweek = {(number + 3) // 4}'
        for number, name in enumerate(names, 1)
    ]
    return "\n".join([*head, *entries, ""])
