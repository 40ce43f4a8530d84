"""A piece sewn in stretches: nothing is lost or moved, everything fits, and the joins hold."""

import itertools
from functools import cache
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.walk import without_repeats
from applique.hoops.problem import SizeMm
from applique.hoops.stretching.stretches import Stretch, Stretches, stretches
from applique.model import EMPTY, LaidPiece, Step, StepKind
from applique.pipeline import make_layers
from applique.proof.band import edge_band
from applique.proof.sewn import sewn_paths
from applique.proof.ties import untied
from applique.renewal import held_steps
from applique.stitches.detail import sew_detail
from applique.stitches.piece import sew
from applique.svg.read import survey_block
from applique.svg.tagged import read_steps
from tests.shapes import RED, drawing, laid, laid_detail, polygon, rectangle, ring, sewn_area, star
from tests.strategies import star_shapes

TIE_MM = 0.8
SMALL = ((100.0, 100.0),)
TALL = ((130.0, 180.0),)
BOTH = ((130.0, 180.0), (180.0, 130.0))


def wave() -> MultiPolygon:
    """A band of water, 250 mm long and about 60 wide."""
    x = np.linspace(0, 250, 400)
    y = 8 * np.sin(x * 2 * np.pi * 3 / 250)
    return polygon(np.vstack([np.stack([x, y], axis=1), np.stack([x, y + 52], axis=1)[::-1]]))


@cache
def piece_of(name: str) -> LaidPiece:
    known: dict[str, tuple[MultiPolygon, dict[str, Any]]] = {
        "satin": (wave(), {"edge": "satin"}),
        "blanket": (wave(), {"edge": "blanket"}),
        "twice": (wave(), {"edge": "blanket", "blanket_strokes": "double"}),
        "zigzag": (wave(), {"edge": "zigzag"}),
        "straight": (wave(), {"edge": "straight"}),
        "in hoop": (wave(), {"edge": "satin", "method": "cut-in-hoop"}),
        "wide": (wave(), {"edge": "satin", "edge_width": 6.0}),
        "ring": (ring(120, 60), {"edge": "blanket"}),
        "star": (star(5, 120, 50), {"edge": "satin"}),
        "band": (rectangle(0, 0, 250, 60), {"edge": "satin"}),
    }
    shape, options = known[name]
    return laid(shape, **options)


@cache
def steps_of(name: str) -> tuple[Step, ...]:
    return sew(piece_of(name))[0]


@cache
def divided(name: str, windows: tuple[SizeMm, ...]) -> Stretches:
    shape = piece_of(name).piece.outline.shape
    return stretches(steps_of(name), windows, shape, EMPTY, TIE_MM)


def paths_of(steps: tuple[Step, ...], *kinds: StepKind) -> list[np.ndarray]:
    return [path for step in steps if step.kind in kinds or not kinds for path in step.paths]


def holes(points: np.ndarray) -> np.ndarray:
    """Needle points as complex numbers, which can be compared, on a grid of a nanometre."""
    return np.round(points, 6) @ np.array([1, 1j])


def in_order(sewn: np.ndarray, path: np.ndarray) -> bool:
    """Whether a fragment without its ties is part of a path, hole by hole."""
    there = holes(path)
    fragment = holes(without_repeats(sewn[np.isin(holes(sewn), there)]))
    if len(fragment) == 0:
        return False
    starts = np.flatnonzero(there == fragment[0])
    return any(np.array_equal(there[k : k + len(fragment)], fragment) for k in starts)


def check_all(
    steps: tuple[Step, ...], found: Stretches, windows: tuple[SizeMm, ...], step_mm: float
) -> None:
    """What holds of every division; `step_mm` is the longest stitch of the piece on an axis."""
    sewn = np.vstack([path for part in found.parts for path in paths_of(part.steps)])
    assert np.isin(holes(np.vstack(paths_of(steps))), holes(sewn)).all()
    kinds = [step.kind for step in steps]
    for part in found.parts:
        left, top, right, bottom = part.box
        assert any(right - left <= w and bottom - top <= h for w, h in windows)
        assert shapely.MultiPoint(np.vstack(paths_of(part.steps))).bounds == part.box
        places = [kinds.index(step.kind) for step in part.steps]
        assert places == sorted(places)
        for path in sewn_paths(part.steps):
            assert not path.loose_ends
            # A stitch from one fragment to the next may be 4 mm long.
            assert np.abs(np.diff(path.whole, axis=0)).max() <= max(step_mm, 4.0)
        for step in part.steps:
            origin = [path for one in steps if one.kind == step.kind for path in one.paths]
            assert all(any(in_order(path, one) for one in origin) for path in step.paths)


def thread_near(paths: list[np.ndarray], near: BaseGeometry) -> BaseGeometry:
    """The area under the stitches that come near some places."""
    stitches = [np.stack([path[:-1], path[1:]], axis=1) for path in paths if len(path) > 1]
    lines = shapely.linestrings(np.vstack(stitches))
    shapely.prepare(near)
    found = lines[shapely.intersects(near, lines)]
    return sewn_area([shapely.get_coordinates(line) for line in found])


def longest_mm(steps: tuple[Step, ...]) -> float:
    return max(float(np.abs(np.diff(path, axis=0)).max()) for path in paths_of(steps))


# What holds everywhere


@pytest.mark.parametrize(
    ("name", "windows"),
    [
        ("satin", SMALL),
        ("blanket", SMALL),
        ("twice", SMALL),
        ("zigzag", TALL),
        ("straight", SMALL),
        ("in hoop", SMALL),
        ("ring", BOTH),
        ("star", SMALL),
    ],
)
def test_nothing_is_lost_or_moved_and_every_part_fits(
    name: str, windows: tuple[SizeMm, ...]
) -> None:
    found = divided(name, windows)
    assert len(found.parts) > 1
    check_all(steps_of(name), found, windows, longest_mm(steps_of(name)))


@given(
    star_shapes(fewest=4, least_mm=20.0),
    st.sampled_from(["satin", "blanket", "straight"]),
    st.tuples(st.integers(30, 70), st.integers(30, 70)),
)
@settings(max_examples=6)
def test_it_holds_of_any_shape(shape: MultiPolygon, edge: str, size: tuple[int, int]) -> None:
    steps, _ = sew(laid(shape, edge=edge))
    windows = ((float(size[0]), float(size[1])),)
    check_all(steps, stretches(steps, windows, shape, EMPTY, TIE_MM), windows, longest_mm(steps))


def test_steps_read_back_from_a_document_are_divided_too() -> None:
    """Rounded to 0.001 mm, with travel left out."""
    outline = " L".join(f"{x + 20:.3f},{y + 40:.3f}" for x, y in wave().geoms[0].exterior.coords)
    root = drawing(
        f'<path id="w" fill="#2f6f8f" ap:edge="blanket" d="M{outline} Z"/>'
        '<path id="stem" fill="none" stroke="#303030" ap:detail="line" d="M30,60 L250,75"/>',
        'width="300mm" height="150mm" viewBox="0 0 300 150"',
    )
    make_layers(root)
    block = survey_block(root).block
    held = held_steps(read_steps(root).steps, block.parts)
    for part in block.parts:
        steps = tuple(step for step in held if step.piece == part.label)
        found = stretches(steps, BOTH, wave(), EMPTY, TIE_MM)
        assert len(found.parts) == 2
        check_all(steps, found, BOTH, longest_mm(steps))
        for step in itertools.chain.from_iterable(one.steps for one in found.parts):
            assert (step.source, step.digest) == (steps[0].source, steps[0].digest)


def test_the_same_piece_is_always_divided_alike() -> None:
    again = stretches(steps_of("zigzag"), TALL, wave(), EMPTY, TIE_MM)
    for one, other in zip(divided("zigzag", TALL).parts, again.parts, strict=True):
        assert all(map(np.array_equal, paths_of(one.steps), paths_of(other.steps)))
    assert divided("zigzag", TALL).joins == again.joins


def test_a_piece_that_fits_is_left_whole() -> None:
    steps = steps_of("star")
    found = stretches(steps, ((250.0, 250.0),), EMPTY, EMPTY, TIE_MM)
    assert found.parts[0].steps == steps and found.joins == ()


def test_a_satin_wider_than_every_window_is_refused() -> None:
    with pytest.raises(ValueError, match="fits into no hoop"):
        stretches(steps_of("satin"), ((3.0, 200.0),), wave(), EMPTY, TIE_MM)


# How few


@pytest.mark.parametrize(
    ("name", "windows", "count"),
    [
        ("satin", SMALL, 3),  # 250 mm long: two windows hold 200 mm at most.
        ("satin", BOTH, 2),
        ("star", SMALL, 5),  # No window holds two of its tips, 141 mm and more apart.
        ("wide", TALL, 2),  # 2 x 130 mm are hardly more than the 254 of its stitches.
        ("ring", BOTH, 4),  # 242 mm: no window holds two of the four outermost places.
    ],
)
def test_as_few_parts_as_can_be(name: str, windows: tuple[SizeMm, ...], count: int) -> None:
    assert len(divided(name, windows).parts) == count


# Joins


def around(found: Stretches, reach_mm: float) -> BaseGeometry:
    places = [shapely.Point(join.place) for join in found.joins]
    return shapely.union_all(shapely.buffer(places, reach_mm))


def bare_at_joins(name: str, windows: tuple[SizeMm, ...], parts: tuple[Stretch, ...]) -> float:
    """mm2 of the band within 6 mm of the joins that no thread covers, by the inspector's band and
    its passes of 0.4 mm (docs/sources.md)."""
    piece = piece_of(name)
    given_settings = piece.piece.settings
    band = edge_band(
        piece.piece.outline.shape,
        piece.edges,
        EMPTY,
        given_settings.edge_outside_mm,
        given_settings.edge_inside_mm,
    )
    near = around(divided(name, windows), 6.0)
    paths = [untied(path).points for part in parts for path in paths_of(part.steps, "edge")]
    sewn = thread_near(paths, near)
    return float(band.needed.intersection(near).difference(sewn).area)


@pytest.mark.parametrize("name", ["satin", "star"])
def test_a_satin_is_whole_where_it_is_joined(name: str) -> None:
    """Ties don't count; and the check is one that a missing part fails."""
    parts = divided(name, SMALL).parts
    assert bare_at_joins(name, SMALL, parts) == 0.0
    assert bare_at_joins(name, SMALL, parts[1:]) > 5.0


def test_the_parts_of_an_edge_overlap_by_3_mm() -> None:
    """Along the straight sides of a band the overlap is what both parts cover of x."""
    found = divided("band", SMALL)
    assert len(found.joins) == 4
    for join in found.joins:
        near = shapely.Point(join.place).buffer(9)
        first, second = (
            thread_near(
                [untied(path).points for path in paths_of(found.parts[k].steps, "edge")], near
            ).intersection(near)
            for k in join.parts
        )
        left, _, right, _ = first.intersection(second).bounds
        assert 3.0 <= right - left <= 4.2
        assert join.straight and not join.hidden


def test_joins_keep_clear_of_corners() -> None:
    """Even where every side is short of a window."""
    corners = shapely.MultiPoint(star(5, 120, 50).geoms[0].exterior.coords)
    for windows in (SMALL, BOTH):
        for join in divided("star", windows).joins:
            assert corners.distance(shapely.Point(join.place)) >= 3.0


def test_joins_go_under_the_fabric_that_comes_later() -> None:
    """Two strips of fabric lie across a long band, within the reach of the windows."""
    over = MultiPolygon([shapely.box(80, -5, 90, 65), shapely.box(160, -5, 168, 65)])
    steps, shape = steps_of("band"), rectangle(0, 0, 250, 60)
    found = stretches(steps, SMALL, shape, over, TIE_MM)
    assert len(found.joins) == 4 and all(join.hidden for join in found.joins)
    inside = over.buffer(-2.0)
    assert all(inside.covers(shapely.Point(join.place)) for join in found.joins)


def test_a_blanket_is_joined_in_the_background() -> None:
    """Bites lie in the fabric; no fragment begins or ends there."""
    for name in ("blanket", "twice"):
        for part in divided(name, SMALL).parts:
            for path in paths_of(part.steps, "edge"):
                ends = untied(path).points[[0, -1]]
                assert not shapely.contains_xy(wave(), ends[:, 0], ends[:, 1]).any()


# What lies beneath


def test_what_lies_beneath_ends_under_the_part_it_belongs_to() -> None:
    """Near a join no tack-down or underlay reaches out from under its own part's satin, whichever
    part is sewn first."""
    found = divided("in hoop", SMALL)
    near = around(found, 9.0)
    whole = thread_near(paths_of(steps_of("in hoop"), "edge"), near)
    looked_at = 0
    for part in found.parts:
        own = thread_near(paths_of(part.steps, "edge"), near)
        beneath = np.vstack(paths_of(part.steps, "tack", "underlay"))
        points = shapely.points(beneath)
        points = points[shapely.covers(near, points) & shapely.dwithin(whole, points, 0.2)]
        looked_at += len(points)
        assert shapely.distance(own, points).max(initial=0.0) <= 0.2
    assert looked_at > 50


def test_every_part_keeps_its_stretch_of_the_placement_line() -> None:
    """Once round, without overlaps: the lengths add up to the line's."""
    lengths = [
        LineString(untied(path).points).length
        for part in divided("satin", SMALL).parts
        for path in paths_of(part.steps, "placement")
    ]
    (line,) = paths_of(steps_of("satin"), "placement")
    assert sum(lengths) == pytest.approx(LineString(untied(line).points).length, abs=0.01)


# Details


@pytest.mark.parametrize("style", ["run", "there-and-back", "line"])
def test_a_long_line_is_divided(style: str) -> None:
    """A stem 220 mm long needs three windows of 100 mm."""
    x = np.linspace(0, 220, 200)
    stem = np.stack([x, 10 * np.sin(x / 40)], axis=1)
    steps, _ = sew_detail(laid_detail([(stem, False)], style))
    found = stretches(steps, SMALL, LineString(stem), EMPTY, TIE_MM)
    check_all(steps, found, SMALL, longest_mm(steps))
    assert (len(found.parts), len(found.joins)) == (3, 2)


def test_a_part_goes_on_without_a_trim_where_the_piece_did() -> None:
    """Underlay and satin of one part are sewn in one thread where nothing lies between."""
    single = np.stack([np.linspace(0, 150, 61), np.zeros(61)], axis=1)
    back = np.stack([np.linspace(150, 0, 61), np.ones(61)], axis=1)
    step = Step("edge", "a", RED, (single, back), ("run", "trim"))
    found = stretches((step,), SMALL, EMPTY, EMPTY, TIE_MM)
    links = sorted(part.steps[0].links for part in found.parts)
    assert links == [("run", "trim"), ("trim", "trim")]


def test_short_lines_stay_whole() -> None:
    """Three lines of 40 mm go to two windows as they are, without a join."""
    lines = [np.stack([np.arange(0.0, 41, 2) + x, np.zeros(21)], axis=1) for x in (0, 50, 150)]
    step = Step("detail", "a", RED, tuple(lines), ("trim",) * 3)
    found = stretches((step,), SMALL, EMPTY, EMPTY, TIE_MM)
    assert sorted(len(part.steps[0].paths) for part in found.parts) == [1, 2]
    assert found.joins == ()


def test_a_ring_begins_and_ends_in_one_part() -> None:
    """Nothing overlaps where a ring closes, so no join may fall there."""
    for kind in ("edge", "placement"):
        for path in paths_of(steps_of("ring"), kind):
            holding = [
                k
                for k, part in enumerate(divided("ring", BOTH).parts)
                for own in paths_of(part.steps, kind)
                if {holes(own)[0], holes(own)[-1]} & {holes(path)[0], holes(path)[-1]}
            ]
            assert len(holding) == 2 and len(set(holding)) == 1
