"""Hypothesis strategies, all in one place."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon

from applique.geometry.rings import as_multipolygon
from applique.model import Piece, Plan, Thread, ThreadBlock
from tests.shapes import piece, rectangle

coordinates = st.floats(-200, 200, allow_nan=False, allow_infinity=False)


@st.composite
def star_shapes(draw: st.DrawFn, fewest: int = 3, least_mm: float = 4.0) -> MultiPolygon:
    """Simple polygons: corners at rising angles round a centre, at any radius."""
    count = draw(st.integers(fewest, 14))
    radii = draw(st.lists(st.floats(least_mm, 40), min_size=count, max_size=count))
    turn = draw(st.floats(0, 6.28))
    angles = turn + np.arange(count) * 2 * np.pi / count
    points = np.array(radii)[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    shape = as_multipolygon(Polygon(points).buffer(0))
    return shape if len(shape.geoms) == 1 else MultiPolygon([shape.geoms[0]])


@st.composite
def holed_shapes(draw: st.DrawFn) -> MultiPolygon:
    """Polygons of at least 18 mm to every corner, with a hole of 3 to 7 corners in them."""
    shape = draw(star_shapes(fewest=5, least_mm=18.0))
    count = draw(st.integers(3, 7))
    radii = draw(st.lists(st.floats(2.5, 7.0), min_size=count, max_size=count))
    angles = draw(st.floats(0, 6.28)) + np.arange(count) * 2 * np.pi / count
    off = np.array(draw(st.tuples(st.floats(-3, 3), st.floats(-3, 3))))
    hole = np.array(radii)[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1) + off
    return as_multipolygon(shape.difference(Polygon(hole)))


@st.composite
def smooth_rings(draw: st.DrawFn) -> np.ndarray:
    """Closed smooth rings: a circle whose radius swings with a few harmonics."""
    radius = draw(st.floats(8, 60))
    swings = draw(st.lists(st.floats(-0.12, 0.12), min_size=3, max_size=3))
    t = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    r = radius * (1 + sum(s * np.cos((k + 2) * t) for k, s in enumerate(swings)))
    return np.stack([r * np.cos(t), r * np.sin(t)], axis=1)


@st.composite
def small_blobs(draw: st.DrawFn) -> MultiPolygon:
    """Smooth ovals of 1.5 to 6 mm across with slight waves: berries, eyes, pebbles."""
    half, share = draw(st.floats(0.75, 3.0)), draw(st.floats(0.4, 1.0))
    swings = draw(st.lists(st.floats(-0.05, 0.05), min_size=3, max_size=3))
    turn = draw(st.floats(0, 3.1))
    t = np.linspace(0, 2 * np.pi, 240, endpoint=False)
    r = half * (1 + sum(s * np.cos((k + 2) * t) for k, s in enumerate(swings)))
    x, y = r * np.cos(t) / share, r * np.sin(t)
    turned = np.stack([x * np.cos(turn) - y * np.sin(turn), x * np.sin(turn) + y * np.cos(turn)])
    return as_multipolygon(Polygon(turned.T))


threads = st.sampled_from(
    [Thread("#b2392f"), Thread("#2f6f8f"), Thread("#f6dc7e"), Thread("#2b2f33"), Thread("#ffffff")]
)


@st.composite
def runs(draw: st.DrawFn) -> np.ndarray:
    """A run of stitches of 0.3 to 11 mm inside a 120 mm field, on a 0.01 mm grid."""
    count = draw(st.integers(2, 25))
    start = draw(st.tuples(st.integers(-6000, 6000), st.integers(-6000, 6000)))
    steps = draw(
        st.lists(
            st.tuples(st.integers(-1100, 1100), st.integers(-1100, 1100)).filter(
                lambda step: max(abs(step[0]), abs(step[1])) >= 30
            ),
            min_size=count,
            max_size=count,
        )
    )
    points = np.vstack([start, np.array(start) + np.cumsum(steps, axis=0)])
    return np.clip(points, -12000, 12000) / 100.0


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Plans of a few blocks, neighbours in the same thread included."""
    blocks = draw(
        st.lists(
            st.builds(
                ThreadBlock,
                thread=threads,
                runs=st.lists(runs(), min_size=1, max_size=4).map(tuple),
                pause=st.sampled_from(["", "Lay sea blue over the line of 3."]),
            ),
            min_size=1,
            max_size=8,
        )
    )
    return Plan("Harbour", (0.0, 0.0), tuple(blocks))


@st.composite
def scattered_pieces(draw: st.DrawFn) -> list[Piece]:
    """Rectangles thrown on a page, of all methods, some with no tack-down."""
    pieces = []
    for k in range(draw(st.integers(1, 7))):
        x, y = draw(st.tuples(st.integers(0, 120), st.integers(0, 120)))
        width, height = draw(st.tuples(st.integers(15, 40), st.integers(15, 40)))
        pieces.append(
            piece(
                rectangle(x, y, width, height),
                label=str(k),
                thread=draw(threads),
                method=draw(st.sampled_from(["cut-first", "cut-in-hoop", "turned"])),
                edge="satin",
                tack=draw(st.sampled_from(["auto", "none", "run"])),
            )
        )
    return pieces


_TOML_KEYS = st.sampled_from(["name", "sea blue", "a.b", "[x]", "it's", 'say "so"', "größe", "7"])
_TOML_VALUES = st.sampled_from(
    [
        "1",
        "true",
        "1979-05-27 07:32:00",
        '"plain"',
        '"[[block]] # no \\" comment"',
        "'name = 3'",
        '"""one\n[two]\nthree = ""4"""',
        "'''\n# five\n'''",
        "[1, 2]",
        "[\n  \"a\", # ]\n\n  'b',\n]",
        "{ x = 1, 'y z' = [ { q = 2 } ] }",
    ]
)


def _toml_key(key: str) -> str:
    bare = key.isascii() and key.replace("-", "").isalnum()
    return key if bare else '"' + key.replace('"', '\\"') + '"'


@st.composite
def toml_texts(draw: st.DrawFn) -> tuple[str, dict[tuple[str | int, ...], int]]:
    """A TOML text with tables, entries and keys in any order, and the line of each of them."""
    written: list[str] = []
    where: dict[tuple[str | int, ...], int] = {}

    def write(path: tuple[str | int, ...], text: str) -> None:
        written.extend(draw(st.lists(st.sampled_from(["", "# a = [", "\t"]), max_size=2)))
        where[path] = sum(part.count("\n") + 1 for part in written) + 1
        written.append(text)

    def write_keys(table: tuple[str | int, ...]) -> None:
        for key in draw(st.lists(_TOML_KEYS, unique=True, max_size=4)):
            write((*table, key), f"{_toml_key(key)} = {draw(_TOML_VALUES)}  # told")

    write_keys(())
    entries: dict[str, int] = {}
    for name, is_entry in draw(st.lists(st.tuples(_TOML_KEYS, st.booleans()), max_size=6)):
        if is_entry:
            table = (f"{name}s", entries.setdefault(name, 0))
            entries[name] += 1
            write(table, f"[[{_toml_key(str(table[0]))}]]")
            write_keys(table)
            write((*table, "part"), "[ " + _toml_key(str(table[0])) + " . part ]")
            write_keys((*table, "part"))
        elif (name, "table") not in where and (name,) not in where:
            write((name, "table"), f"[{_toml_key(name)}.table]")
            write_keys((name, "table"))
    return "\n".join(written) + "\n", where
