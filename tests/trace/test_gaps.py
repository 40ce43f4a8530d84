"""Loose ends of lines: where the pen stopped, and what they are joined with."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from applique.trace.gaps import bridges, bridges_ahead, loose_ends
from applique.trace.strokes import Strokes, find_strokes
from applique.trace.thinning import thinned

MM_PER_PX = 1 / 6
PEN_MM = 2.4


def strokes_of(*lines: list[tuple[float, float]], pen_mm: float = PEN_MM) -> Strokes:
    """Lines through places in mm, drawn with a round nib on a page of 60 x 60 mm."""
    mask = np.zeros((360, 360), np.uint8)
    for line in lines:
        points = np.round(np.array(line) / MM_PER_PX * 16).astype(np.int32)
        cv2.polylines(mask, [points], False, 1, round(pen_mm / MM_PER_PX), cv2.LINE_8, 4)
    return find_strokes(mask, MM_PER_PX)


def middles(strokes: Strokes):
    return thinned(strokes.ink)


@pytest.mark.parametrize("degrees", range(0, 180, 15))
def test_the_tip_of_a_loose_end_is_where_the_pen_stopped(degrees: int) -> None:
    way = 20 * np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
    ends = [(30 - way[0], 30 - way[1]), (30 + way[0], 30 + way[1])]
    strokes = strokes_of(ends)
    found = [(end.tip + 0.5) * strokes.mm_per_px for end in loose_ends(middles(strokes), strokes)]
    assert len(found) == 2
    for place in ends:
        assert min(np.hypot(*(tip - place)) for tip in found) < 0.5


@pytest.mark.parametrize("degrees", range(0, 180, 15))
def test_a_gap_is_bridged_whatever_the_slant(degrees: int) -> None:
    way = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
    near, far = (3.0 + PEN_MM) / 2 * way, 24 * way
    middle = np.array([30.0, 30.0])
    strokes = strokes_of([middle - far, middle - near], [middle + near, middle + far])
    assert len(bridges(loose_ends(middles(strokes), strokes), strokes)) == 1


def test_a_line_may_go_on_a_little_aside_of_where_its_end_points() -> None:
    # Straight on the end would miss the ink ahead, which has no loose end there: a digit's foot
    # has run into it.
    line = [(8.0, 20.0), (29.0, 20.0), (33.0, 21.2)]
    ahead = [(38.0, 6.0), (38.0, 20.8), (50.0, 6.0)]
    strokes = strokes_of(line, ahead)
    thin = middles(strokes)
    (end,) = [
        end
        for end in loose_ends(thin, strokes)
        if np.hypot(*((end.tip + 0.5) * MM_PER_PX - line[-1])) < 1
    ]
    (bridge,) = bridges_ahead([end], [], thin, strokes)
    assert np.hypot(*((bridge.stop.place + 0.5) * MM_PER_PX - (38.0, 20.8))) < 2
