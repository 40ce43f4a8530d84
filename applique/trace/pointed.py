"""Sharp tips of a traced edge, moved to where the light around them says that they end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from applique.trace.corners import Corner, sides_meet
from applique.trace.light import Light
from applique.trace.rail import nearest
from applique.trace.tip_light import left_of
from applique.trace.tips import Tip, Wedge, found_tip
from applique.trace.turns import SPACING_MM

_LEAST_TURN = np.radians(112.0)
"""Blunter tips lose so little to the blur that their sides tell as well where they end."""

_FLATTENED_MM = 0.015
"""The arc that a pen leaves at a tip is cut off by a chord on either side of the apex, by so much:
the tip of a template is a corner."""

_CLEAR_MM = 0.5
"""Where the edge is not seen so near to a tip, its light is not that of a tip."""


def pointed(
    edge: np.ndarray,
    corners: Sequence[Corner],
    unseen: np.ndarray,
    light: Light,
    blur_px: float,
    pen_mm: float,
    mm_per_px: float,
) -> tuple[Corner, ...]:
    """The corners of an evenly spaced closed edge, (n, 2) mm, sharp tips among them moved to where
    they end. `unseen` are the points (k, 2) of the edge that were bridged, in mm; `blur_px` is the
    picture's, `pen_mm` the width of the line."""
    return tuple(
        _pointed(edge, corner, light, blur_px, pen_mm, mm_per_px)
        if _is_sharp(corner) and _is_seen(corner, unseen)
        else corner
        for corner in corners
    )


def _is_sharp(corner: Corner) -> bool:
    return not corner.inward and abs(corner.turn) > _LEAST_TURN


def _is_seen(corner: Corner, unseen: np.ndarray) -> bool:
    return len(unseen) == 0 or float(nearest(corner.place[None], unseen)[0]) > _CLEAR_MM


def _pointed(
    edge: np.ndarray,
    corner: Corner,
    light: Light,
    blur_px: float,
    pen_mm: float,
    mm_per_px: float,
) -> Corner:
    meeting = sides_meet(edge, corner)
    if meeting is None:
        return corner
    place, before, after = meeting
    inward = before + after
    half_angle = float(np.arccos(np.clip(before @ after, -1, 1))) / 2
    wedge = Wedge(place / mm_per_px, inward / np.hypot(*inward), half_angle)
    half_px = float((edge[corner.index] - place) @ wedge.inward) / mm_per_px
    tip = found_tip(light, wedge, half_px, blur_px, pen_mm / mm_per_px)
    return corner if tip is None else _moved(edge, corner, tip, mm_per_px)


def _moved(edge: np.ndarray, corner: Corner, tip: Tip, mm_per_px: float) -> Corner:
    """A corner moved to a tip's apex, with the tip's own sides to where the edge goes on."""
    before, after = (
        _way(edge[(corner.index + step) % len(edge)], tip, mm_per_px)
        for step in (-corner.cut, corner.cut)
    )
    return replace(corner, place=tip.apex * mm_per_px, before=before[::-1], after=after)


def _way(end: np.ndarray, tip: Tip, mm_per_px: float) -> np.ndarray:
    """A tip's side, (k, 2) mm, from its apex about as far inward as `end`, (2,) mm, beside it."""
    away = end - tip.apex * mm_per_px
    length_px = max(float(away @ tip.wedge.inward), 0.0) / mm_per_px
    left, right = tip.sides(SPACING_MM / mm_per_px, length_px)
    way = left if away @ left_of(tip.wedge.inward) > 0 else right
    chord_px = np.sqrt(8 * _FLATTENED_MM / mm_per_px * tip.radius_px)
    return way[np.hypot(*(way - tip.apex).T) > chord_px] * mm_per_px
