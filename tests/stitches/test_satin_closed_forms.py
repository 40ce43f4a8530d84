"""Satin against closed forms (docs/sources.md): pitch on both rails, penetrations, thread."""

import math

import numpy as np
import pytest
import shapely

from applique.geometry.rings import as_multipolygon
from applique.model import EdgeRun
from applique.stitches.ladder import Band, Rungs
from applique.stitches.line import lines_of
from applique.stitches.rungs import rungs
from tests.shapes import circle, laid, rectangle, ring, stitch_lengths

SPACING_MM = 0.4
EVEN_MM = 0.05
"""How uneven the pitch on the shorter rail may be: what flattening leaves of a circle."""

BEYOND_THE_START = 3
"""Penetrations by which a smooth ring is closed beyond its start."""


def ladders(shape, band: Band) -> list[Rungs]:
    piece = laid(shape)
    edges = lines_of(piece.edges)
    return [rungs(run, band, edges, piece.cut) for run in piece.edges]


def pitches(ladder: Rungs, outer: bool) -> np.ndarray:
    """From needle point to needle point along one rail."""
    return stitch_lengths(ladder.points[ladder.outer == outer])


def stadium(straight: float, radius: float):
    """Two half circles and the sides between them, drawn as fine as flattened curves."""
    return as_multipolygon(
        shapely.LineString([(-straight / 2, 0), (straight / 2, 0)]).buffer(radius, quad_segs=64)
    )


@pytest.mark.parametrize(
    ("radius", "outside", "inside"),
    [(10, 1.75, 1.75), (25, 1.0, 2.5), (40, 0.0, 3.5), (12, 2.0, 5.0)],
)
def test_pitch_on_both_rails_of_a_circle(radius, outside, inside) -> None:
    # Pitches are as the rails' radii: s on the longer one, s (R - in) / (R + out) on the other.
    # R = 10 mm and W = 3.5 mm make 0.470 : 0.330 with s = 0.4 mm on the outline (computed).
    (ladder,) = ladders(circle(radius), Band(outside, inside, SPACING_MM))
    longer, shorter = pitches(ladder, outer=True), pitches(ladder, outer=False)
    assert longer == pytest.approx(SPACING_MM, rel=0.01)
    assert longer.max() <= SPACING_MM + 1e-6
    expected = SPACING_MM * (radius - inside) / (radius + outside)
    assert shorter.mean() == pytest.approx(expected, rel=0.01)
    ratio = longer.mean() / shorter.mean()
    assert ratio == pytest.approx((radius + outside) / (radius - inside), rel=0.002)


@pytest.mark.parametrize(("radius", "outside", "inside"), [(10, 1.75, 1.75), (25, 1.0, 2.5)])
def test_pitch_is_even_on_the_shorter_rail_of_a_circle(radius, outside, inside) -> None:
    (ladder,) = ladders(circle(radius), Band(outside, inside, SPACING_MM))
    shorter = pitches(ladder, outer=False)
    assert shorter == pytest.approx(shorter.mean(), abs=EVEN_MM)


def test_the_longer_rail_of_a_hole_lies_on_the_fabric() -> None:
    # Round a hole of radius r the rail on the fabric has r + 2.5, the other one r - 1.0.
    hole = ladders(ring(30, 8), Band(1.0, 2.5, SPACING_MM))[1]
    assert pitches(hole, outer=False) == pytest.approx(SPACING_MM, rel=0.01)
    assert pitches(hole, outer=True).mean() == pytest.approx(SPACING_MM * 7 / 10.5, rel=0.01)
    assert pitches(hole, outer=True) == pytest.approx(SPACING_MM * 7 / 10.5, abs=EVEN_MM)


def test_penetrations_of_a_circle() -> None:
    # 2 * 2 pi R / s = 785.4 for R = 25 mm and s = 0.4 mm, where the longer rail is the outline.
    (ladder,) = ladders(circle(25), Band(0.0, 3.5, SPACING_MM))
    # A whole odd number of steps, rounded up, and the penetration that closes the ring.
    assert 0 <= len(ladder.base) - BEYOND_THE_START - 785.4 <= 3


@pytest.mark.parametrize(("width", "metres"), [(3.0, 15.03), (3.5, 17.53), (4.0, 20.02)])
def test_thread_of_a_metre_of_straight_satin(width: float, metres: float) -> None:
    # 2 sqrt(W^2 + (s/2)^2) / s metres a metre of edge, the thread's thickness aside (computed).
    run = EdgeRun(np.array([[0.0, 0.0], [1000.0, 0.0]]), closed=False)
    field = rectangle(0, 0, 1000, 40)
    ladder = rungs(run, Band(1.0, width - 1.0, SPACING_MM), lines_of([run]), field)
    assert stitch_lengths(ladder.points).sum() / 1000 == pytest.approx(metres, abs=0.006)


@pytest.mark.parametrize("radius", [8.0, 25.0, 60.0])
def test_thread_of_a_circle(radius: float) -> None:
    # Each stitch joins the rails' radii a and b across half a pitch of the longer one:
    # sqrt(a^2 + b^2 - 2 a b cos(s / 2a)), by the law of cosines.
    (ladder,) = ladders(circle(radius), Band(1.0, 2.5, SPACING_MM))
    a, b = radius + 1.0, radius - 2.5
    count = 2 * 2 * math.pi * a / SPACING_MM
    stitch = math.sqrt(a * a + b * b - 2 * a * b * math.cos(SPACING_MM / 2 / a))
    sewn = stitch_lengths(ladder.points)[: -BEYOND_THE_START or None].sum()
    assert sewn == pytest.approx(count * stitch, rel=2.5 / count)


def test_a_stadium_has_the_straight_pitch_and_the_round_one() -> None:
    # L = 40 mm, r = 15 mm: length 2 L + 2 pi r, the outer rail 2 L + 2 pi (r + 1).
    (ladder,) = ladders(stadium(40, 15), Band(1.0, 2.5, SPACING_MM))
    points = ladder.points
    for outer, round_pitch in ((True, SPACING_MM), (False, SPACING_MM * 12.5 / 16)):
        rail = points[ladder.outer == outer]
        middle = (rail[1:, 0] + rail[:-1, 0]) / 2
        pitch = stitch_lengths(rail)
        # Where side and half circle meet, the rungs turn within a millimetre.
        assert pitch[np.abs(middle) < 19] == pytest.approx(SPACING_MM, rel=0.01)
        assert pitch[np.abs(middle) > 21].mean() == pytest.approx(round_pitch, rel=0.01)
        assert pitch[np.abs(middle) > 21] == pytest.approx(round_pitch, abs=EVEN_MM)
    expected = 2 * (2 * 40 + 2 * math.pi * 16) / SPACING_MM
    assert 0 <= len(points) - BEYOND_THE_START - expected <= 3


def test_rails_of_a_stadium_are_its_parallel_curves() -> None:
    # Steiner: the offsets by +1.0 and -2.5 mm are 2 L + 2 pi (r + d) long.
    (ladder,) = ladders(stadium(40, 15), Band(1.0, 2.5, SPACING_MM))
    for outer, distance in ((True, 1.0), (False, -2.5)):
        rail = ladder.points[ladder.outer == outer]
        closed = shapely.Polygon(rail[: -(BEYOND_THE_START // 2) - 1])
        assert closed.exterior.length == pytest.approx(80 + 2 * math.pi * (15 + distance), abs=0.1)
        from_axis = shapely.distance(shapely.LineString([(-20, 0), (20, 0)]), shapely.points(rail))
        assert from_axis == pytest.approx(15 + distance, abs=0.01)
