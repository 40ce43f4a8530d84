"""What each shape of an artwork becomes: pieces of fabric, plain embroidery, or nothing."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from shapely import MultiPolygon

from applique.artwork.gather import Shape, page_curves
from applique.artwork.paint import Stroke
from applique.artwork.part import Part, as_written, closed_across, solid_parts
from applique.artwork.strokes import fitted, stroke_shape
from applique.artwork.told import Told
from applique.geometry.rings import polygons_of
from applique.geometry.walk import step_lengths
from applique.geometry.width import narrower_than, widest_mm
from applique.model import Curve
from applique.report import note
from applique.settings import SPECS, resolve
from applique.svg.details import SPOT
from applique.svg.outlines import made_clean, open_gap, outline_of

Strokes = Literal["leave", "outline"]
Small = Literal["line", "drop"]

SMALLEST_MM = resolve().narrowest_mm
"""Between the two sides of the default edge nothing but a sliver of a narrower piece would show."""

_ROUNDING_MM = 0.05
"""A shape so near to the size of the largest spot might be found larger when it is read back."""

LINE = "line"
RUN = "run"


@dataclass(frozen=True)
class Choices:
    """What is wanted of strokes, of pieces whose widest place is narrower than `smallest_mm`, and
    of shapes with several islands."""

    strokes: Strokes = "leave"
    small: Small = "line"
    smallest_mm: float = SMALLEST_MM
    split: bool = False


def parts_of(
    shape: Shape, outlined: MultiPolygon | None, choices: Choices, told: Told
) -> list[Part]:
    """The parts that one shape becomes, the lowest first. `shape` leads to mm on the block's page;
    so does what its stroke covers, `outlined`, None where strokes are no shapes of their own."""
    parts = _filled(shape, told)
    if shape.stroke is None or outlined is not None:
        parts += _stroked(shape, outlined)
    elif parts:
        told.add("stroke", shape.name)
    else:
        parts += _line(shape, shape.stroke, told)
    if not parts:
        told.add("no-area", shape.name)
    if choices.split:
        parts = [island for part in parts for island in _islands(part)]
    return [kept for part in parts for kept in _large_or_small(part, choices, told)]


def _filled(shape: Shape, told: Told) -> list[Part]:
    if shape.fill is None:
        return []
    drawn, _ = made_clean(page_curves(shape))
    parts = solid_parts(shape.name, [*map(closed_across, drawn)], shape.rule, shape.fill)
    if parts and any(not curve.closed and open_gap(curve)[0] > _GAP_MM for curve in drawn):
        told.add("open-path", shape.name)
    return parts


_GAP_MM = 0.05
"""Half a step of the embroidery frame; a smaller gap nobody sees or sews."""


def _stroked(shape: Shape, outlined: MultiPolygon | None) -> list[Part]:
    if shape.stroke is None or outlined is None:
        return []
    name = f"{shape.name} (stroke)"
    return solid_parts(name, fitted(outlined), "nonzero", shape.stroke.colour)


def _line(shape: Shape, stroke: Stroke, told: Told) -> list[Part]:
    """A stroke without a fill is sewn as a line; one shorter than it is wide as a spot."""
    curves = as_written(page_curves(shape))
    width_mm = stroke.width * math.sqrt(abs(float(np.linalg.det(shape.matrix[:, :2]))))
    if sum(_length_mm(curve) for curve in curves) < width_mm:
        return _stroked(shape, stroke_shape(shape.curves, stroke, shape.matrix))
    limits = SPECS["detail-width"]
    style = RUN if width_mm < limits.low else LINE
    if width_mm > limits.high:
        told.add("too-wide", shape.name)
    width_mm = min(width_mm, limits.high)
    nothing = MultiPolygon()
    return [Part(shape.name, curves, "nonzero", stroke.colour, nothing, style, width_mm)]


def _length_mm(curve: Curve) -> float:
    """The length of a curve's control polygon, at least its own."""
    return float(sum(step_lengths(segment).sum() for segment in curve.segments))


def _islands(part: Part) -> list[Part]:
    """Every island of a part by itself, its holes with it."""
    polygons = polygons_of(part.shape)
    if len(polygons) < 2:
        return [part]
    drawn = outline_of(list(part.curves), part.rule).outline
    curves = () if drawn is None else drawn.curves
    islands: list[Part] = []
    first = 0
    for number, polygon in enumerate(polygons, start=1):
        count = 1 + len(polygon.interiors)
        own = curves[first : first + count] or fitted(MultiPolygon([polygon]))
        first += count
        islands += solid_parts(f"{part.name}.{number}", own, "evenodd", part.colour)
    return islands


def _large_or_small(part: Part, choices: Choices, told: Told) -> list[Part]:
    """The part itself; one too small for fabric as plain embroidery, or not at all."""
    if part.detail or not _is_narrow(part.shape, choices.smallest_mm):
        return [part]
    is_spot = narrower_than(part.shape, resolve().spot_size_mm - _ROUNDING_MM)
    point = part.shape.representative_point()
    width = f"is {widest_mm(part.shape):.1f} mm wide at most, less than {choices.smallest_mm:g} mm"
    if choices.small == "drop":
        text = f"{width}, so it was left out"
    else:
        sewn = "filled with satin" if is_spot else "sewn as a line along its outline"
        text = f"{width}, so it is {sewn} and not of fabric"
    told.say(note("small", part.name, text, (point.x, point.y)))
    if choices.small == "drop":
        return []
    width_mm = 0.0 if is_spot else resolve().detail_width_mm
    return [replace(part, detail=SPOT if is_spot else LINE, width_mm=width_mm)]


def _is_narrow(shape: MultiPolygon, width_mm: float) -> bool:
    """Whether no circle of a diameter fits into a shape. Every point of a shape without holes is
    within the radius r of its largest circle of the outline, so its area is r times its outline at
    most: most shapes are wide by that already."""
    polygons = polygons_of(shape)
    if any(
        not polygon.interiors and 2 * polygon.area >= width_mm * polygon.length
        for polygon in polygons
    ):
        return False
    return narrower_than(shape, width_mm)
