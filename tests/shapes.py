"""Shapes and pieces for the tests, made in one line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from lxml import etree
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import as_multipolygon, rings_of
from applique.model import EMPTY, Detail, EdgeRun, LaidDetail, LaidPiece, Outline, Piece, Thread
from applique.settings import resolve

RED = Thread("#b2392f")


def circle(radius: float, x: float = 0.0, y: float = 0.0) -> MultiPolygon:
    """A circle as fine as the flattening of drawn ones: within 0.001 mm."""
    segments = max(16, math.ceil(math.pi / 4 / math.acos(1 - 0.001 / radius)))
    return MultiPolygon([shapely.Point(x, y).buffer(radius, quad_segs=segments)])


def ellipse(a: float, b: float, count: int = 2000) -> MultiPolygon:
    t = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return polygon(np.stack([a * np.cos(t), b * np.sin(t)], axis=1))


def square(side: float, x: float = 0.0, y: float = 0.0) -> MultiPolygon:
    return MultiPolygon([shapely.box(x, y, x + side, y + side)])


def rectangle(x: float, y: float, width: float, height: float) -> MultiPolygon:
    return MultiPolygon([shapely.box(x, y, x + width, y + height)])


def polygon(points: Any) -> MultiPolygon:
    return as_multipolygon(shapely.Polygon(points))


def star(points: int = 5, outer: float = 22.0, inner: float = 9.0) -> MultiPolygon:
    angles = np.arange(2 * points) * np.pi / points
    radii = np.where(np.arange(2 * points) % 2 == 0, outer, inner)
    return polygon(np.stack([radii * np.cos(angles), radii * np.sin(angles)], axis=1))


def ell(side: float = 30.0, arm: float = 12.0) -> MultiPolygon:
    return polygon([(0, 0), (side, 0), (side, arm), (arm, arm), (arm, side), (0, side)])


def ring(outer: float, inner: float) -> MultiPolygon:
    return as_multipolygon(circle(outer).difference(circle(inner)))


def laid(
    shape: MultiPolygon,
    *,
    label: str = "1",
    above: BaseGeometry = EMPTY,
    thread: Thread = RED,
    **settings: Any,
) -> LaidPiece:
    """A piece lying by itself: its whole outline shows and is cut as drawn."""
    return LaidPiece(
        piece=piece(shape, label=label, thread=thread, **settings),
        whole=shape,
        raw_edge=EMPTY,
        cut=shape,
        above=above,
        barred=EMPTY,
        edges=tuple(EdgeRun(ring, True, k) for k, ring in enumerate(rings_of(shape))),
        hidden=False,
    )


def piece(
    shape: MultiPolygon,
    *,
    label: str = "1",
    thread: Thread = RED,
    fabric: str = "brick red",
    **settings: Any,
) -> Piece:
    given = {name.replace("_", "-"): value for name, value in settings.items()}
    left, top, right, bottom = shape.bounds
    resolved = resolve(given, narrow_side_mm=min(right - left, bottom - top))
    return Piece(label, f"id-{label}", Outline(shape), fabric, thread.colour, thread, resolved)


def detail(
    drawn: MultiPolygon | list[tuple[np.ndarray, bool]],
    style: str = "spot",
    *,
    label: str = "d",
    under: frozenset[str] = frozenset(),
    **settings: Any,
) -> Detail:
    """A detail from a shape, or from lines that each say whether they are closed."""
    given = resolve({name.replace("_", "-"): value for name, value in settings.items()})
    is_shape = isinstance(drawn, MultiPolygon)
    lines = () if is_shape else tuple(EdgeRun(np.array(p), c, k) for k, (p, c) in enumerate(drawn))
    shape = drawn if is_shape else MultiPolygon()
    return Detail(label, f"id-{label}", style, lines, shape, RED, given, under)


def laid_detail(drawn: Any, style: str = "spot", **settings: Any) -> LaidDetail:
    """A detail that lies in sight as a whole."""
    made = detail(drawn, style, **settings)
    return LaidDetail(made, made.lines, made.shape, hidden=False)


def drawing(content: str, size: str = 'width="100mm" height="100mm" viewBox="0 0 100 100"') -> Any:
    """A document with some content in millimetres."""
    return etree.fromstring(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        'xmlns:ap="https://underlap.example/svg/1" '
        'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        f"{size}>{content}</svg>"
    )


def stitch_lengths(points: np.ndarray) -> np.ndarray:
    delta = np.diff(points, axis=0)
    return np.hypot(delta[:, 0], delta[:, 1])


def thread_area(points: np.ndarray, width: float = 0.4) -> BaseGeometry:
    """What a line of thread covers: every pass counted 0.4 mm wide (docs/sources.md)."""
    passes = shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1))
    return shapely.union_all(shapely.buffer(passes, width / 2, cap_style="square"))


def sewn_area(paths: Sequence[np.ndarray], width: float = 0.4) -> BaseGeometry:
    """The same of several paths, with round ends: a quarter of an end has two chords."""
    stitches = [np.stack([path[:-1], path[1:]], axis=1) for path in paths]
    passes = shapely.linestrings(np.concatenate(stitches))
    return shapely.union_all(shapely.buffer(passes, width / 2, quad_segs=2))
