"""Cover, against shapely's union of all passes at once."""

import numpy as np
import pytest
import shapely

from applique.model import LaidPiece
from applique.proof.band import EdgeBand, edge_band
from applique.proof.cover import BEYOND_MM, Cover, cover
from applique.proof.sewn import of_kinds, sewn_paths
from applique.stitches.piece import sew
from tests.shapes import circle, ell, laid, sewn_area, star

SAME = 1e-4
"""Of the band."""

NOWHERE = shapely.MultiPolygon()


def by_union(paths: list[np.ndarray], band: EdgeBand) -> tuple[float, float, float]:
    """What is covered, what lies beyond, and by how much the rail is missed at worst."""
    sewn = sewn_area(paths)
    over = sewn.difference(shapely.buffer(band.allowed, 0.2 + BEYOND_MM))
    rail = shapely.points(shapely.get_coordinates(shapely.segmentize(band.outer_rail, 0.1)))
    bare = band.needed.difference(sewn).area
    total = band.needed.area
    return 1 - bare / total, over.area / total, float(shapely.distance(sewn, rail).max(initial=0))


def measured(piece: LaidPiece, damage: str) -> tuple[list[np.ndarray], EdgeBand, Cover]:
    (edge,) = of_kinds(sewn_paths(sew(piece)[0]), "edge")
    path = edge.plain.copy()
    if damage == "left out":
        path = np.delete(path, range(80, 96), axis=0)
    if damage == "moved":
        path[60:90] += (1.7, -0.9)
    band = edge_band(piece.piece.outline.shape, piece.edges, NOWHERE, 1.15, 2.65)
    return [path], band, cover([path], band)


@pytest.mark.parametrize("damage", ["", "left out", "moved"])
@pytest.mark.parametrize("shape", [circle(12.0), ell(), star()], ids=["circle", "ell", "star"])
def test_cover_is_what_one_union_of_all_passes_tells(
    shape: shapely.MultiPolygon, damage: str
) -> None:
    paths, band, found = measured(laid(shape), damage)
    covered, beyond, short = by_union(paths, band)
    assert found.covered == pytest.approx(covered, abs=SAME)
    assert found.overspill == pytest.approx(beyond, abs=SAME)
    assert found.rail_short_mm == pytest.approx(short, abs=1e-9)
    assert (found.covered < 0.999) == (damage != "")


def test_places_are_told_of_what_is_more_than_rounding() -> None:
    *_, whole = measured(laid(circle(12.0)), "")
    *_, gaping = measured(laid(circle(12.0)), "left out")
    assert (whole.gap_place, whole.over_place, whole.rail_place) == (None, None, None)
    assert gaping.gap_place is not None
    assert gaping.rail_place is not None


def test_without_a_stitch_all_is_bare() -> None:
    piece = laid(circle(12.0))
    band = edge_band(piece.piece.outline.shape, piece.edges, NOWHERE, 1.15, 2.65)
    nothing = cover([], band)
    assert nothing.covered == pytest.approx(0, abs=SAME)
    assert (nothing.overspill, nothing.rail_short_mm, nothing.rail_place) == (0.0, 0.0, None)
