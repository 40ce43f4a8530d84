"""What strokes cover, by areas known in closed form (SVG 2, section 13.5) and shapely's buffer."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely

from applique.artwork.paint import Stroke
from applique.artwork.strokes import fitted, stroke_shape
from applique.geometry.curves import flatten
from applique.geometry.rings import rings_of
from applique.svg.paths import parse_path
from applique.svg.transforms import IDENTITY

WIDE = 10.0
HALF = WIDE / 2
SPIRE = "M0 60 L25 0 L50 60"
TURN = math.pi - 2 * math.atan2(25, 60)
"""By how much the spire's line turns at its tip, in radians."""


def stroke(cap: str = "butt", join: str = "miter", limit: float = 4.0) -> Stroke:
    return Stroke("#000000", WIDE, cap, join, limit)


def covered(data: str, given: Stroke, matrix: np.ndarray = IDENTITY) -> shapely.MultiPolygon:
    return stroke_shape(parse_path(data), given, matrix)


@pytest.mark.parametrize(
    ("cap", "more"), [("butt", 0.0), ("square", WIDE * WIDE), ("round", math.pi * HALF * HALF)]
)
def test_caps(cap: str, more: float) -> None:
    shape = covered("M0 0 H80", stroke(cap))
    assert shape.area == pytest.approx(80 * WIDE + more, abs=0.05)


def test_a_bent_line_is_cut_off_square_to_its_curve() -> None:
    shape = covered("M0 40 A40 40 0 0 1 40 0", stroke())
    assert shape.area == pytest.approx(math.pi / 2 * 40 * WIDE, abs=0.2)
    assert shape.bounds == pytest.approx((-5, -5, 40, 40), abs=0.005)


def test_joins_differ_only_on_the_outside_of_the_corner() -> None:
    """The two bars overlap in a kite of HALF^2 tan(turn / 2); a bevel adds a triangle, a miter a
    kite, a round join a sector."""
    kite = HALF * HALF * math.tan(TURN / 2)
    bars = 2 * math.hypot(25, 60) * WIDE - kite
    triangle, sector = HALF * HALF * math.sin(TURN) / 2, HALF * HALF * TURN / 2
    assert covered(SPIRE, stroke(join="bevel")).area == pytest.approx(bars + triangle, abs=0.15)
    assert covered(SPIRE, stroke(join="round")).area == pytest.approx(bars + sector, abs=0.15)
    assert covered(SPIRE, stroke(join="miter")).area == pytest.approx(bars + kite, abs=0.15)


def test_a_miter_reaches_as_far_as_its_limit_and_no_further() -> None:
    ratio = 1 / math.cos(TURN / 2)
    reaching = covered(SPIRE, stroke(limit=ratio * 1.001))
    assert reaching.bounds[1] == pytest.approx(-HALF * ratio, abs=0.005)
    cut = covered(SPIRE, stroke(limit=ratio * 0.999))
    assert cut.equals_exact(covered(SPIRE, stroke(join="bevel")), 1e-9)


@pytest.mark.parametrize(
    "data",
    [
        "M0 0 C40 -60 80 60 120 0",
        "M0 0 C120 100 -40 100 80 0",
        "M10 50 A40 40 0 1 1 90 50 A40 30 0 0 1 10 50 Z",
        "M0 0 H80 H30",
        "M0 0 C0 20 0 20 30 20 S60 0 60 40",
    ],
)
def test_round_strokes_are_everything_near_the_line(data: str) -> None:
    shape = covered(data, stroke("round", "round"))
    lines = [flatten(curve, 0.0005) for curve in parse_path(data)]
    closed = data.endswith("Z")
    lines = [np.vstack([line, line[:1]]) if closed else line for line in lines]
    # A coarse line is dense here; the buffer simplifies what is dense, so single chords are used.
    chords = shapely.linestrings([pair for line in lines for pair in pairwise(line)])
    near = shapely.union_all(shapely.buffer(chords, HALF, quad_segs=200))
    assert near.buffer(0.01).covers(shape)
    assert shape.buffer(0.01).covers(near)


def test_a_skewed_stroke_is_skewed_with_its_line() -> None:
    matrix = np.array([[2.0, 0.5, 7.0], [0.0, 0.7, -3.0]])
    plain, skewed = covered(SPIRE, stroke()), covered(SPIRE, stroke(), matrix)
    assert skewed.area == pytest.approx(plain.area * np.linalg.det(matrix[:, :2]), rel=1e-4)


@pytest.mark.parametrize(("cap", "area"), [("round", math.pi * 25), ("square", 100), ("butt", 0)])
def test_a_line_without_length_shows_its_caps(cap: str, area: float) -> None:
    assert covered("M5 5 L5 5", stroke(cap)).area == pytest.approx(area, abs=0.05)


def test_the_stroke_of_a_ring_has_a_hole_and_of_a_solid_one_none() -> None:
    ring = "M0 0 A{0} {0} 0 1 1 {1} 0 A{0} {0} 0 1 1 0 0 Z"
    wide = covered(ring.format(30, 60), stroke())
    assert wide.area == pytest.approx(math.pi * (35**2 - 25**2), abs=0.5)
    assert len(rings_of(wide)) == 2
    assert len(rings_of(covered(ring.format(4, 8), stroke()))) == 1


@pytest.mark.parametrize("join", ["miter", "round", "bevel"])
def test_fitted_curves_keep_within_a_hundredth(join: str) -> None:
    shape = covered("M0 0 C40 -60 80 60 120 0 L100 50 Q60 20 20 60 Z", stroke("butt", join))
    curves = fitted(shape)
    assert sum(len(curve.segments) for curve in curves) < 120
    for ring, curve in zip(rings_of(shape), curves, strict=True):
        drawn = shapely.linearrings(flatten(curve, 0.001))
        assert shapely.hausdorff_distance(shapely.linearrings(ring), drawn) < 0.01
