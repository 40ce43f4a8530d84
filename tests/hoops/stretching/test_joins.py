"""Where an edge is best joined, told on lines whose corners and bends are known."""

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon

from applique.geometry.walk import step_lengths
from applique.hoops.problem import SizeMm
from applique.hoops.stretching.fragments import OVERLAP_MM, Way, tie_line, way_of
from applique.hoops.stretching.joins import (
    CORNER_AT_MM,
    CORNER_NEAR_MM,
    HIDDEN_INSIDE_MM,
    STRAIGHT_DEGREES,
    STRAIGHT_WITHIN_MM,
    ground_of,
    places_of,
)
from applique.hoops.stretching.windows import covers_of, held_by, spread
from applique.model import EMPTY
from applique.stitches.blanket import blanket
from applique.stitches.running import running
from applique.stitches.satin import satin
from applique.stitches.zigzag import zigzag
from tests.shapes import circle, laid, rectangle

ELL = np.array([(0.0, 0.0), (60.0, 0.0), (60.0, 60.0)])
BLOCK = rectangle(0, 0, 80, 60)


def run(points: np.ndarray, closed: bool = False) -> Way:
    return way_of(running(points, closed, 2.5), OVERLAP_MM)


def on_circle(radius: float) -> Way:
    return run(shapely.get_coordinates(circle(radius).geoms[0].exterior)[:-1], closed=True)


def test_a_corner_is_kept_clear_of() -> None:
    """The corner of an angle drawn by hand lies at (60, 0): within 3 mm of it a join counts most,
    within 6 mm it is not straight."""
    way = run(ELL)
    places = places_of(way, ground_of(LineString(ELL), EMPTY))
    away = np.hypot(*(way.spine[way.cuts] - ELL[1]).T)
    inner = (way.arc[way.cuts] > 15) & (way.arc[way.cuts] < way.arc[-1] - 15)
    assert (
        places.cost[inner & (away < CORNER_AT_MM)].min()
        > places.cost[inner & (away >= CORNER_AT_MM)].max()
    )
    assert not places.straight[away < CORNER_NEAR_MM].any()
    assert places.straight[inner & (away > STRAIGHT_WITHIN_MM)].all()


@pytest.mark.parametrize(("radius", "straight"), [(20.0, False), (40.0, False), (60.0, True)])
def test_a_bend_is_straight_if_it_turns_little(radius: float, straight: bool) -> None:
    """Two chords over an arc of 8 mm each meet at an angle of 8 / radius (the inscribed angle)."""
    assert (math.degrees(STRAIGHT_WITHIN_MM / radius) < STRAIGHT_DEGREES) == straight
    way = on_circle(radius)
    places = places_of(way, ground_of(circle(radius), EMPTY))
    inner = (way.arc[way.cuts] > 10) & (way.arc[way.cuts] < way.arc[-1] - 10)
    assert (places.straight[inner] == straight).all()


def test_a_hidden_place_comes_before_any_that_is_seen() -> None:
    """The whole overlap lies under the fabric, and the place itself 2 mm inside."""
    way = run(np.array([(0.0, 0.0), (120.0, 0.0)]))
    over = shapely.box(50, -20, 70, 20)
    places = places_of(way, ground_of(LineString([(0, 0), (120, 0)]), over))
    x = way.spine[way.cuts][:, 0]
    begins = way.spine[way.begins][:, 0]
    expected = (x > 50 + HIDDEN_INSIDE_MM) & (x < 70 - HIDDEN_INSIDE_MM) & (begins > 50)
    assert expected.sum() >= 3
    assert np.array_equal(places.hidden, expected)
    assert places.cost[places.hidden].max() < places.cost[~places.hidden].min()


@pytest.mark.parametrize("edge", ["satin", "zigzag"])
def test_rungs_are_known_and_their_length_is_that_of_the_edge(edge: str) -> None:
    """Along the upper side of a rectangle the middle of the band is a straight line, half as far
    inside as the stitches reach further in than out, and as long as the side."""
    piece = laid(BLOCK, edge=edge)
    (line,) = satin(piece) if edge == "satin" else zigzag(piece)
    way = way_of(line.points, OVERLAP_MM)
    settings = piece.piece.settings
    inset = (settings.edge_inside_mm - settings.edge_outside_mm) / 2
    assert way.rungs.all()
    x, y = way.spine.T
    side = np.flatnonzero((np.abs(y) < 3) & (x > 10) & (x < 70))
    assert np.median(y[side]) == pytest.approx(inset, abs=0.2)
    first, last = side[0], side[-1]
    assert abs(way.arc[last] - way.arc[first]) == pytest.approx(abs(x[last] - x[first]), rel=0.02)


def test_rungs_stay_whole_and_a_run_may_be_cut_anywhere() -> None:
    """A satin is cut on one of its rails, where the needle comes back."""
    (line,) = satin(laid(BLOCK, edge="satin"))
    way = way_of(line.points, OVERLAP_MM)
    before, after = (
        line.points[way.cuts[1:-1]] - line.points[way.cuts[1:-1] - 1],
        line.points[way.cuts[1:-1] + 1] - line.points[way.cuts[1:-1]],
    )
    assert ((before * after).sum(axis=1) < 0).all()
    assert len(run(ELL).cuts) > len(run(ELL).points) - 10


@pytest.mark.parametrize("strokes", ["single", "double"])
def test_a_blanket_is_cut_between_bites(strokes: str) -> None:
    """No cut, and no beginning, lies in the fabric."""
    shape = rectangle(0, 0, 80, 60)
    (line,) = blanket(laid(shape, edge="blanket", blanket_strokes=strokes))
    way = way_of(line.points, OVERLAP_MM)
    assert len(way.cuts) > 60
    for index in (way.cuts, way.begins):
        places = line.points[index]
        assert not shapely.contains_xy(shape, places[:, 0], places[:, 1]).any()


def test_a_fragment_begins_3_mm_before_its_cut() -> None:
    """Measured along the line itself, on a straight one where that is the distance."""
    (line,) = satin(laid(rectangle(0, 0, 200, 60), edge="satin"))
    way = way_of(line.points, OVERLAP_MM)
    here, begin = way.spine[way.cuts], way.spine[way.begins]
    side = (np.abs(here[:, 1] - begin[:, 1]) < 0.3) & (here[:, 0] > 20) & (here[:, 0] < 180)
    away = np.abs(here - begin)[side, 0]
    assert side.sum() > 100
    assert away.min() >= OVERLAP_MM - 0.1 and away.max() < OVERLAP_MM + 0.6


@pytest.mark.parametrize("edge", ["satin", "zigzag", "blanket"])
def test_ties_lie_on_what_is_sewn(edge: str) -> None:
    """The first millimetre of every tie line, onwards and back: on a satin under the passes of its
    own thread, of 0.4 mm (docs/sources.md), on open stitches on the thread itself."""
    piece = laid(BLOCK, edge=edge)
    (line,) = {"satin": satin, "zigzag": zigzag, "blanket": blanket}[edge](piece)
    way = way_of(line.points, OVERLAP_MM)
    thread = LineString(line.points).buffer(0.2 if edge == "satin" else 0.02)
    for k in range(5, len(way.cuts) - 5, 7):
        cut = int(way.cuts[k])
        for towards in (0, len(line.points) - 1):
            tie = LineString(tie_line(way, cut, towards))
            first = shapely.get_coordinates(tie.segmentize(0.05))
            arc = np.concatenate([[0.0], np.cumsum(step_lengths(first))])
            assert shapely.covers(thread, LineString(first[arc <= 1.0]))


def test_an_empty_outline_has_no_corners() -> None:
    places = places_of(run(ELL), ground_of(Polygon(), EMPTY))
    assert np.isfinite(places.cost).all()


# Windows, which leave joins their room

boxes = st.lists(
    st.tuples(st.integers(0, 60), st.integers(0, 60), st.integers(1, 8), st.integers(1, 8)),
    min_size=1,
    max_size=9,
).map(lambda found: np.array([(x, y, x + w, y + h) for x, y, w, h in found], dtype=float))


@given(boxes, st.sampled_from([[(20.0, 20.0)], [(15.0, 30.0), (30.0, 15.0)]]))
@settings(max_examples=30)
def test_windows_are_as_few_as_exhaustive_search_finds(
    given_boxes: np.ndarray, sizes: list[SizeMm]
) -> None:
    """Any window can be pushed right and down until a box it holds stops it on either side, so it
    is enough to try those corners."""
    corners = itertools.product(given_boxes[:, 0], given_boxes[:, 1], sizes)
    tried = np.array([(x, y, x + w, y + h) for x, y, (w, h) in corners])
    held = np.unique(held_by(given_boxes, tried), axis=1)
    fewest = next(
        count
        for count in range(1, 10)
        if any(
            held[:, list(chosen)].any(axis=1).all()
            for chosen in itertools.combinations(range(held.shape[1]), count)
        )
    )
    for windows in covers_of(given_boxes, sizes):
        assert len(windows) == fewest
        moved = spread(windows, given_boxes, np.ones(len(given_boxes)), sizes)
        assert held_by(given_boxes, moved).any(axis=1).all() and len(moved) <= fewest
