"""Placement, tack-down, trim line and underlay."""

import numpy as np
import pytest
import shapely

from applique.settings import resolve
from applique.stitches.placement import placement
from applique.stitches.tackdown import tack, tack_style, trim_line
from applique.stitches.underlay import underlay, underlay_styles
from tests.shapes import laid, rectangle, ring, square


@pytest.mark.parametrize(
    ("given", "style"),
    [
        ({}, "zigzag"),
        ({"method": "cut-in-hoop"}, "zigzag"),
        ({"method": "cut-in-hoop", "edge": "zigzag"}, "zigzag"),
        ({"edge": "blanket"}, "none"),
        ({"edge": "straight"}, "none"),
        ({"edge": "zigzag"}, "none"),
        ({"method": "turned", "edge": "satin"}, "none"),
        ({"edge": "blanket", "tack": "run"}, "run"),
    ],
)
def test_the_tack_that_fits_the_method_and_the_edge(given: dict[str, str], style: str) -> None:
    assert tack_style(resolve(given)) == style


def distances(lines, piece) -> np.ndarray:
    points = shapely.points(np.vstack([line.points for line in lines]))
    boundary = piece.piece.outline.shape.boundary
    inside = shapely.contains(piece.piece.outline.shape, points)
    return shapely.distance(boundary, points) * np.where(inside, 1, -1)


def test_placement_lies_on_the_outline_under_satin() -> None:
    piece = laid(square(40))
    assert distances(placement(piece), piece) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("edge", ["blanket", "straight", "zigzag"])
def test_placement_hides_inside_where_the_edge_covers_nothing(edge: str) -> None:
    piece = laid(square(40), edge=edge)
    assert distances(placement(piece), piece) == pytest.approx(0.8, abs=1e-6)


def test_placement_goes_round_holes_too() -> None:
    assert len(placement(laid(ring(20, 8)))) == 2


def test_a_sliver_gets_its_placement_nearer_the_edge() -> None:
    piece = laid(rectangle(0, 0, 40, 1.4), edge="blanket")
    assert len(placement(piece)) == 1
    piece = laid(rectangle(0, 0, 40, 0.6), edge="blanket")
    assert distances(placement(piece), piece) == pytest.approx(0, abs=1e-6)


def test_the_tack_straddles_the_raw_edge_inside_the_satin() -> None:
    piece = laid(square(40))
    reach = distances(tack(piece), piece)
    assert reach.min() < -0.5
    assert reach.min() >= -1.0 * 1.5
    assert reach.max() <= 2.5
    assert reach.max() > 1.0


def test_the_tack_keeps_inside_where_nothing_will_cover_it() -> None:
    piece = laid(square(40))
    bare = type(piece)(
        **{**piece.__dict__, "edges": (type(piece.edges[0])(piece.edges[0].points[:2], False),)}
    )
    lines = tack(bare)
    points = np.vstack([line.points for line in lines])
    first, second = bare.edges[0].points
    edge = shapely.linestrings([first, second])
    far = shapely.distance(edge, shapely.points(points)) > 4
    outside = ~shapely.contains(piece.piece.outline.shape, shapely.points(points))
    assert not (outside & far).any()


def test_the_trim_line_holds_a_patch_for_trimming() -> None:
    # What the scissors may leave, less the inset, must vanish under the satin (computed).
    piece = laid(square(60), method="cut-in-hoop")
    assert distances(trim_line(piece), piece) == pytest.approx(1.5, abs=1e-6)
    settings = piece.piece.settings
    assert settings.trim_margin_mm - settings.trim_inset_mm <= settings.edge_outside_mm


@pytest.mark.parametrize(
    ("given", "styles"),
    [
        ({}, ()),
        ({"edge": "blanket"}, ()),
        ({"tack": "none"}, ("edge",)),
        ({"tack": "none", "edge-width": 1.6}, ("centre",)),
        ({"tack": "none", "edge-width": 5}, ("edge", "zigzag")),
        ({"edge-width": 5}, ("edge",)),
        ({"underlay": "zigzag"}, ("zigzag",)),
        ({"underlay": "none", "tack": "none"}, ()),
    ],
)
def test_underlay_by_width(given: dict, styles: tuple[str, ...]) -> None:
    # Common practice; a zigzag tack-down counts as one.
    assert underlay_styles(resolve(given)) == styles


@pytest.mark.parametrize("kind", ["centre", "edge", "zigzag"])
def test_underlay_stays_inside_the_satin_and_ends_where_it_began(kind: str) -> None:
    piece = laid(square(40), underlay=kind)
    lines = underlay(piece)
    reach = distances(lines, piece)
    assert reach.min() >= -1.0 * 1.5
    assert reach.max() <= 2.5
    gap = np.hypot(*(lines[0].points[0] - lines[-1].points[-1]))
    assert gap <= 4.0
