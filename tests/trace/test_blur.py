"""The blur of a picture, measured on its own edges."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from skimage.filters import gaussian

from applique.trace.blur import USUAL_PX, blur_px
from applique.trace.edge import Edge, edge_along
from applique.trace.light import Light, encoded
from tests.trace.drawn import coverage

PAPER, INK = 0.8, 0.05


def disc_blurred(sigma_px: float) -> Light:
    """A disc of ink, drawn exactly and blurred in linear light by scikit-image's Gaussian."""
    disc = shapely.Point(120.4, 119.7).buffer(70, 64)
    light = PAPER + (INK - PAPER) * gaussian(coverage(disc, (240, 240)), sigma_px, mode="nearest")
    return Light(encoded(light), np.full((8, 8), encoded(np.array(PAPER)), np.uint8))


def edge_of_disc(light: Light) -> Edge:
    turns = np.linspace(0, 2 * np.pi, 440, endpoint=False)
    around = np.stack([120.4 + 71 * np.cos(turns), 119.7 + 71 * np.sin(turns)], axis=1)
    return edge_along(light, np.floor(around).astype(int), 60.0, ink_outside=False)


# A pixel gathers light over its own width, and light between pixels is interpolated: both blur too.
# As variances in square pixels: 1/12 for the first (uniform distribution), at most 1/4 and on
# average 1/6 for the second (two pixels mixed, at an even chance of being anywhere between them).
@pytest.mark.parametrize("sigma_px", [0.5, 0.8, 1.2])
def test_blur_is_that_of_the_picture(sigma_px):
    light = disc_blurred(sigma_px)
    measured = blur_px(light, edge_of_disc(light))
    assert measured == pytest.approx(np.sqrt(sigma_px**2 + 1 / 12 + 1 / 6), rel=0.06)


def test_the_usual_blur_stands_in_where_nothing_is_seen():
    light = disc_blurred(0.6)
    edge = edge_of_disc(light)
    unseen = Edge(edge.points, np.zeros(len(edge.points), bool), edge.towards_ink)
    assert blur_px(light, unseen) == USUAL_PX
