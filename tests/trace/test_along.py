"""Strokes that lie along a line, told by its width and the step of its edge."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
import shapely

from applique.trace.along import lying_along
from applique.trace.band import border
from tests.trace.drawn import coverage, stroke

PX_PER_MM = 10.0
PEN_MM = 1.5

CIRCLE = shapely.Point(25, 25).buffer(18, 90)
SQUARE = shapely.box(8, 8, 42, 42)
HOLLOW = shapely.box(4, 4, 46, 46) - shapely.Point(25, -2).buffer(18, 90)
STEPPED = shapely.Polygon([(6, 6), (24, 6), (24, 7), (44, 7), (44, 44), (6, 44)])
NOTCHED = shapely.Polygon([(6, 6), (20, 6), (25, 16), (30, 6), (44, 6), (44, 44), (6, 44)])

FLOWER = shapely.union_all(
    [shapely.Point(25, 25).buffer(7)]
    + [
        shapely.Point(25 + 9 * np.cos(a), 25 + 9 * np.sin(a)).buffer(6, 60)
        for a in np.arange(6) * np.pi / 3 + 0.1
    ]
)


def found_along(
    template: shapely.Polygon, *more: shapely.Geometry, gap: shapely.Geometry | None = None
) -> np.ndarray:
    """The places, (n, 2) mm, where something lies along the line of a pen led round a template;
    more ink is drawn besides."""
    line = template.buffer(PEN_MM / 2, 48).exterior.buffer(PEN_MM / 2, 24)
    ink = shapely.union_all([line, *more])
    ink = ink if gap is None else ink - gap
    scale = shapely.affinity.scale(ink, PX_PER_MM, PX_PER_MM, origin=(0, 0))
    mask = sum(
        (coverage(part, (500, 500)) for part in shapely.get_parts(scale)), np.zeros((500, 500))
    )
    mask = (mask > 0.5).astype(np.uint8)
    inside = shapely.affinity.scale(template, PX_PER_MM, PX_PER_MM, origin=(0, 0))
    within = coverage(inside.buffer(PX_PER_MM * PEN_MM / 2), (500, 500)) > 0.5
    _, labels = cv2.connectedComponents((within & (mask == 0)).astype(np.uint8), connectivity=4)
    largest = 1 + int(np.argmax(np.bincount(labels.ravel())[1:]))
    pixels = border((labels == largest).astype(np.uint8))
    seen = np.ones(len(pixels), bool)
    if gap is not None:
        grown = shapely.affinity.scale(gap, PX_PER_MM, PX_PER_MM, origin=(0, 0))
        seen = ~shapely.contains_xy(grown, pixels)
    return pixels[lying_along(mask, pixels, seen, 1 / PX_PER_MM, PX_PER_MM * PEN_MM)] / PX_PER_MM


def bar(width_mm: float, length_mm: float, y_mm: float) -> shapely.Geometry:
    """A level bar whose middle is at x = 25 mm."""
    ends = np.array([(25 - length_mm / 2, y_mm), (25 + length_mm / 2, y_mm)])
    return stroke(ends, width_mm)


@pytest.mark.parametrize("width_mm", [0.8, 1.0, 1.5])
@pytest.mark.parametrize(
    ("template", "edge_mm", "length_mm"),
    [
        (CIRCLE, 7.0, 4.0),
        (CIRCLE, 7.0, 8.0),
        (SQUARE, 8.0, 4.0),
        (SQUARE, 8.0, 8.0),
        (SQUARE, 8.0, 14.0),
        (HOLLOW, 16.0, 4.0),
        (HOLLOW, 16.0, 8.0),
    ],
)
def test_bar_inside_the_line_is_found(template, edge_mm, length_mm, width_mm):
    # It lies in the line's ink by 0.2 mm.
    found = found_along(template, bar(width_mm, length_mm, edge_mm + width_mm / 2 - 0.2))
    assert len(found)
    assert np.abs(found[:, 0] - 25).min() < 0.2
    assert np.abs(found[:, 0] - 25).max() < length_mm / 2 + 3


@pytest.mark.parametrize("template", [CIRCLE, SQUARE, HOLLOW, STEPPED, NOTCHED, FLOWER])
def test_line_without_anything_is_left_alone(template):
    assert len(found_along(template)) == 0


def test_bar_outside_the_line_is_left_alone():
    assert len(found_along(SQUARE, bar(1.0, 8.0, 8 - PEN_MM - 0.3))) == 0


def test_gap_with_its_round_ends_is_left_alone():
    # The line ends on both sides in half a disc.
    gap = shapely.box(23, 0, 27, 8.5) - shapely.MultiPoint([(23, 7.25), (27, 7.25)]).buffer(0.75)
    assert len(found_along(SQUARE, gap=gap)) == 0
