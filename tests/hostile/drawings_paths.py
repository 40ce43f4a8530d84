"""Drawings whose shapes are hostile: too many points, odd numbers, outlines that cross
themselves."""

from __future__ import annotations

import math
from collections.abc import Iterable

from tests.hostile.drawings_xml import drawing
from tests.hostile.running import Make


def path(d: str, words: str = 'fill="#5d7a45"') -> bytes:
    return drawing(f'<path {words} d="{d}"/>')


def ring(points: Iterable[tuple[float, float]]) -> str:
    return "M" + " L".join(f"{x:.4f},{y:.4f}" for x, y in points) + " Z"


def around(count: int, radius: float = 40.0, turns: int = 1) -> list[tuple[float, float]]:
    """Points evenly on a circle; those of several turns make a star."""
    angles = [2 * math.pi * turns * k / count for k in range(count)]
    return [(50 + radius * math.cos(a), 50 + radius * math.sin(a)) for a in angles]


def star(points: int) -> str:
    """A star whose every side crosses nearly every other: some points² / 4 crossings."""
    return ring(around(points, turns=points // 2 - 1 if points % 2 == 0 else points // 2))


def spiral(points: int, turns: int) -> str:
    """A line that winds outwards, closed straight across its turns."""
    steps = [(40 * k / points, 2 * math.pi * turns * k / points) for k in range(1, points)]
    return ring((50 + r * math.cos(a), 50 + r * math.sin(a)) for r, a in steps)


def snowflake(order: int) -> str:
    """A curve whose sides are each replaced by four; 3 * 4^order sides."""
    corners = [complex(50 + 40 * math.cos(a), 50 + 40 * math.sin(a)) for a in (0.5, 2.6, 4.7)]
    bump = complex(0.5, -math.sqrt(3) / 6)
    for _ in range(order):
        finer = []
        for here, there in zip(corners, [*corners[1:], corners[0]], strict=True):
            side = there - here
            finer += [here, here + side / 3, here + side * bump, here + side * 2 / 3]
        corners = finer
    return ring((corner.real, corner.imag) for corner in corners)


def comb(teeth: int) -> str:
    """Slivers side by side, the more of them the thinner."""
    points = [(10.0, 90.0)]
    for k in range(teeth):
        x = 10 + 80 * k / teeth
        points += [(x, 10.0), (x + 40 / teeth, 80.0)]
    return ring([*points, (90.0, 90.0)])


def zigzag(points: int) -> str:
    """To and fro over the same field, each way crossing many others."""
    return ring(
        (10 + 80 * ((k * 7919) % points) / points, 10 + 80 * (k % 2)) for k in range(points)
    )


def squares(count: int, apart: float = 0.0) -> str:
    side = max(1, math.isqrt(count))
    step = 90 / side
    return " ".join(
        f"M{5 + k % side * step:.4f},{5 + k // side * step:.4f}"
        f"h{step - apart:.4f}v{step - apart:.4f}h-{step - apart:.4f}z"
        for k in range(count)
    )


def nested_squares(count: int) -> str:
    return " ".join(
        f"M{k * 45 / count:.5f},{k * 45 / count:.5f}h{90 - 90 * k / count:.5f}"
        f"v{90 - 90 * k / count:.5f}h-{90 - 90 * k / count:.5f}z"
        for k in range(count)
    )


MANY: dict[str, Make] = {
    "50,000 points on a circle": lambda: path(ring(around(50_000))),
    "million points in one place": lambda: path("M50,50" + " L50,50" * 1_000_000 + " h9 v9 z"),
    "million points on one line": lambda: path(
        "M0,0" + " h.00005" * 1_000_000 + " V40 H0 z"
    ),
    "million curves": lambda: path("M0,0 C" + "0,50 50,50 50,0 " * 1_000_000 + " z"),
    "million moves": lambda: path("M1,1 " * 1_000_000 + "h9v9z"),
    "million closings": lambda: path("M1,1h9v9" + "z" * 1_000_000),
    "100,000 squares in one path": lambda: path(squares(100_000)),
    "million squares in one path": lambda: path("M1,1" + "h1v1h-1z m.1,.1" * 1_000_000),
    "10,000 squares within one another": lambda: path(nested_squares(10_000)),
    "3,000 squares apart in one path": lambda: path(squares(3_000, 0.2)),
    "200,000 arcs": lambda: path("M50,50" + " a9,9 0 1 1 .001,0" * 200_000 + "z"),
    "star of 1,000 points": lambda: path(star(1_001)),
    "star of 10,000 points": lambda: path(star(10_001)),
    "zigzag of 20,000 ways": lambda: path(zigzag(20_000)),
    "spiral of 60 turns": lambda: path(spiral(20_000, 60)),
    "snowflake of 768 sides": lambda: path(snowflake(4)),
    "comb of 10 slivers": lambda: path(comb(10)),
    "100 circles over one another": lambda: drawing(
        "".join(
            f'<circle cx="{20 + k % 60}" cy="{20 + k // 10}" r="15" fill="#5d7a45"/>'
            for k in range(100)
        )
    ),
    "100,000 shapes": lambda: drawing('<rect width="9" height="9"/>' * 100_000),
    "300,000 shapes": lambda: drawing('<rect width="9" height="9"/>' * 300_000),
    "million points in a polygon": lambda: drawing(
        f'<polygon points="{"1,1 2,2 3,1 " * 400_000}"/>'
    ),
}  # fmt: skip

NUMBERS: dict[str, Make] = {
    "coordinates of 1e308": lambda: path("M1e308,1e308 H-1e308 V9 z"),
    "coordinates beyond any number": lambda: path("M1e999,0 h9 v9 z"),
    "coordinates of 1e-308": lambda: path("M0,0 h1e-308 v1e-308 z"),
    "coordinates of a billion": lambda: path("M999999999,0 h-999999999 v999999999 z"),
    "sums beyond any number": lambda: path("M0,0" + " h999999999" * 10_000 + " v9 z"),
    "nan": lambda: path("MNaN,0 h9 v9 z"),
    "infinity": lambda: path("MInfinity,0 h9 v9 z"),
    "hexadecimal": lambda: path("M0x10,0x10 h9 v9 z"),
    "units in path data": lambda: path("M10mm,10mm h9mm v9mm z"),
    "letters of other scripts": lambda: path("M٣,٣ h٩ v٩ z"),
    "number of 5,000 digits": lambda: path(f"M{'9' * 5000},0 h9 v9 z"),
    "number of a million decimals": lambda: path(f"M0.{'1' * 1_000_000},0 h9 v9 z"),
    "exponent of a thousand digits": lambda: path(f"M1e{'9' * 1000},0 h9 v9 z"),
    "million signs": lambda: path(f"M{'-' * 1_000_000}1,0 h9 v9 z"),
    "million commas": lambda: path(f"M1{',' * 1_000_000}0 h9 v9 z"),
    "million dots": lambda: path(f"M{'.' * 1_000_000}0 h9 v9 z"),
    "million letters": lambda: path("M" * 1_000_000),
    "empty path": lambda: path(""),
    "path of one move": lambda: path("M9,9"),
    "path without a move": lambda: path("L9,9 h9 v9 z"),
    "path that breaks off": lambda: path("M9,9 h9 v9 C1,2"),
    "unknown command": lambda: path("M9,9 B1,2 z"),
    "arc of no radius": lambda: path("M9,9 A0,0 0 1 1 30,30 V9 z"),
    "arc of a radius of a billion": lambda: path("M9,9 A1e9,1e9 0 1 1 30,30 V9 z"),
    "arc of a hair": lambda: path("M9,9 A1e-9,1e9 45 1 1 30,30 V9 z"),
    "arc of bad flags": lambda: path("M9,9 A9,9 0 2 7 30,30 V9 z"),
    "arc of a million degrees": lambda: path("M9,9 A9,5 1e8 1 1 30,30 V9 z"),
    "hairline": lambda: path("M0,0 H100 V0.0001 H0 z"),
    "line to and fro": lambda: path("M0,0 H100 H0 z"),
    "speck": lambda: path("M50,50 h.01 v.01 h-.01 z"),
    "open line": lambda: path("M0,0 H50 V50"),
    "figure of eight": lambda: path("M20,20 L80,80 V20 L20,80 z"),
    "points of nan": lambda: drawing('<polygon points="NaN,0 9,9 0,9"/>'),
    "odd number of points": lambda: drawing('<polygon points="0,0 9,9 0"/>'),
    "circle of 1e308": lambda: drawing('<circle cx="50" cy="50" r="1e308"/>'),
    "circle of a nameless unit": lambda: drawing('<circle cx="50" cy="50" r="9furlong"/>'),
    "circle of less than nothing": lambda: drawing('<circle cx="50" cy="50" r="-9"/>'),
    "ellipse of a hair": lambda: drawing('<ellipse cx="50" cy="50" rx="1e-9" ry="40"/>'),
    "rectangle of a billion percent": lambda: drawing('<rect width="999999999%" height="9"/>'),
    "rectangle with corners of a billion": lambda: drawing(
        '<rect x="9" y="9" width="50" height="50" rx="1e9"/>'
    ),
    "stroke of a billion": lambda: path("M9,9 H60 V60", 'fill="none" stroke="#a33" '
        'stroke-width="1e9"'),
    "stroke of nothing": lambda: path("M9,9 H60 V60", 'fill="none" stroke="#a33" '
        'stroke-width="1e-9"'),
    "stroke of nan": lambda: path("M9,9 H60 V60", 'fill="none" stroke="#a33" stroke-width="NaN"'),
    "dashes of a billionth": lambda: path(
        "M9,9 H60 V60", 'fill="none" stroke="#a33" stroke-width="2" stroke-dasharray="1e-9"'
    ),
    "million dashes": lambda: path(
        "M9,9 H60 V60",
        f'fill="none" stroke="#a33" stroke-width="2" stroke-dasharray="{"1 " * 1_000_000}"',
    ),
    "mitres of a billion": lambda: path(
        "M9,50 H90 L9,50.01",
        'fill="none" stroke="#a33" stroke-width="2" stroke-miterlimit="1e9"',
    ),
    "stroke of 100,000 corners": lambda: path(
        "M9,50" + " l.5,20 l.5,-20 l-1,1" * 33_000,
        'fill="none" stroke="#a33" stroke-width="2"',
    ),
}  # fmt: skip
