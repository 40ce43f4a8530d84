"""Every SVG shape element as curves in its own user units (SVG 2, chapter 10)."""

from __future__ import annotations

import math
import re

import numpy as np
from lxml import etree

from applique.geometry.curves import polyline
from applique.model import Curve
from applique.svg.arcs import ellipse_segments
from applique.svg.paths import parse_path
from applique.svg.viewport import Viewport, length_of
from applique.svg.vocabulary import SHAPES
from applique.units import numbers_in


def curves_of(element: etree._Element, viewport: Viewport) -> list[Curve]:
    """The outline of a shape element; empty if it draws nothing (a size of zero, say).

    Raises ValueError saying what can't be read.
    """
    match element.tag.rpartition("}")[2]:
        case "path":
            return parse_path(element.get("d", ""))
        case "rect":
            return _rect(element, viewport)
        case "circle":
            radius = length_of(element, "r", _diagonal(viewport))
            return _ellipse(element, viewport, radius, radius)
        case "ellipse":
            return _oval(element, viewport)
        case "polygon":
            return _points(element, closed=True)
        case "polyline":
            return _points(element, closed=False)
        case "line":
            return _line(element, viewport)
    raise ValueError(f"<{element.tag}> is no shape")


def is_shape(element: etree._Element) -> bool:
    """Whether the element draws an outline of its own."""
    return element.tag in SHAPES


def _diagonal(viewport: Viewport) -> float:
    """What percentages of a radius refer to."""
    return math.hypot(*viewport) / math.sqrt(2)


def _rect(element: etree._Element, viewport: Viewport) -> list[Curve]:
    x, y = length_of(element, "x", viewport[0]), length_of(element, "y", viewport[1])
    width, height = (
        length_of(element, "width", viewport[0]),
        length_of(element, "height", viewport[1]),
    )
    if width <= 0 or height <= 0:
        return []
    unset = -1.0
    rx = length_of(element, "rx", viewport[0], unset)
    ry = length_of(element, "ry", viewport[1], unset)
    rx, ry = (ry if rx < 0 else rx), (rx if ry < 0 else ry)
    rx, ry = min(max(rx, 0.0), width / 2), min(max(ry, 0.0), height / 2)
    if rx == 0 or ry == 0:
        right, bottom = x + width, y + height
        return [polyline(np.array([[x, y], [right, y], [right, bottom], [x, bottom]]), True)]
    return [_rounded(x, y, width, height, rx, ry)]


def _rounded(x: float, y: float, width: float, height: float, rx: float, ry: float) -> Curve:
    """A rectangle with elliptical corners, from the left end of its upper side."""
    axes = np.diag([rx, ry])
    centres = [
        (x + width - rx, y + ry, -math.pi / 2),
        (x + width - rx, y + height - ry, 0.0),
        (x + rx, y + height - ry, math.pi / 2),
        (x + rx, y + ry, math.pi),
    ]
    segments: list[np.ndarray] = []
    straight: list[bool] = []
    here = np.array([x + rx, y])
    for cx, cy, first in centres:
        corner = ellipse_segments(np.array([cx, cy]), axes, first, math.pi / 2)
        if not np.allclose(corner[0][0], here):
            third = (corner[0][0] - here) / 3
            segments.append(np.array([here, here + third, here + 2 * third, corner[0][0]]))
            straight.append(True)
        segments.extend(corner)
        straight.extend([False] * len(corner))
        here = corner[-1][3]
    segments[-1][3] = segments[0][0]
    return Curve(np.array(segments), np.array(straight), closed=True)


def _oval(element: etree._Element, viewport: Viewport) -> list[Curve]:
    unset = -1.0
    rx = length_of(element, "rx", viewport[0], unset)
    ry = length_of(element, "ry", viewport[1], unset)
    return _ellipse(element, viewport, ry if rx < 0 else rx, rx if ry < 0 else ry)


def _ellipse(element: etree._Element, viewport: Viewport, rx: float, ry: float) -> list[Curve]:
    if rx <= 0 or ry <= 0:
        return []
    centre = np.array(
        [length_of(element, "cx", viewport[0]), length_of(element, "cy", viewport[1])]
    )
    segments = ellipse_segments(centre, np.diag([rx, ry]), 0.0, 2 * math.pi)
    segments[-1][3] = segments[0][0]
    return [Curve(np.array(segments), np.zeros(len(segments), dtype=bool), closed=True)]


def _points(element: etree._Element, closed: bool) -> list[Curve]:
    try:
        numbers = numbers_in(_apart(element.get("points", "")))
    except ValueError as problem:
        raise ValueError(f"its points can't be read: {problem}") from None
    points = np.array(numbers[: len(numbers) // 2 * 2]).reshape(-1, 2)
    if len(points) < 2:
        return []
    if not closed and len(points) > 3 and np.all(points[0] == points[-1]):
        return [polyline(points[:-1], True)]
    return [polyline(points, closed)]


def _apart(text: str) -> str:
    """Numbers that only a sign divides, as in 10-5, set apart."""
    return re.sub(r"(?<=[\d.])(?=[-+])", " ", text)


def _line(element: etree._Element, viewport: Viewport) -> list[Curve]:
    ends = [
        [length_of(element, "x1", viewport[0]), length_of(element, "y1", viewport[1])],
        [length_of(element, "x2", viewport[0]), length_of(element, "y2", viewport[1])],
    ]
    return [polyline(np.array(ends), False)] if ends[0] != ends[1] else []
