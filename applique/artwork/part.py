"""One path of the block, its numbers as they are written, its shape as it will be read back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon

from applique.geometry.curves import flatten, polyline
from applique.geometry.rings import SPECK_MM2, FillRule, snapped
from applique.model import Curve
from applique.svg.outlines import made_clean, outline_of

DIGITS = 3
"""Coordinates are written to a thousandth of a millimetre."""


@dataclass(frozen=True, eq=False)
class Part:
    """One path of the block, in mm on its page.

    `detail` is "" for a piece, else the style it is sewn in; `shape` is what it covers, empty for a
    line, whose width is `width_mm`.
    """

    name: str
    curves: tuple[Curve, ...]
    rule: FillRule
    colour: str
    shape: MultiPolygon
    detail: str = ""
    width_mm: float = 0.0


def solid_parts(name: str, curves: Sequence[Curve], rule: FillRule, colour: str) -> list[Part]:
    """The piece that closed curves enclose; none if that is nothing which could be sewn or cut."""
    written = as_written(curves)
    shape = covered_by(written, rule)
    return [] if shape.is_empty else [Part(name, written, rule, colour, shape)]


def as_written(curves: Iterable[Curve]) -> tuple[Curve, ...]:
    """Curves with their numbers rounded as in the document, without what is but a speck."""
    rounded = [
        Curve(np.round(curve.segments, DIGITS), curve.straight, curve.closed) for curve in curves
    ]
    return tuple(made_clean(rounded)[0])


def covered_by(curves: Sequence[Curve], rule: FillRule) -> MultiPolygon:
    """What closed curves enclose, in mm, by the same rules as a block is read; empty if nothing."""
    ring = snapped(flatten(curves[0])) if len(curves) == 1 else ()
    if len(ring) > 2:
        # Most shapes are as plain as that, and artwork may have thousands.
        plain = shapely.Polygon(ring)
        if plain.is_valid and plain.area >= SPECK_MM2:
            return MultiPolygon([plain])
    outline = outline_of(list(curves), rule).outline
    return MultiPolygon() if outline is None else outline.shape


def closed_across(curve: Curve) -> Curve:
    """A curve closed straight across, as its fill shows it (SVG 2, section 13.4.1)."""
    if curve.closed:
        return curve
    last = polyline(np.array([curve.segments[-1, 3], curve.segments[0, 0]]), closed=False)
    segments = np.concatenate([curve.segments, last.segments])
    return Curve(segments, np.append(curve.straight, True), closed=True)
