"""A traced object of known size, as a ruler or a disc: what it tells of the scale and the pen.

A pen leans, and its line stands off the template by a little; every piece grows by twice that. An
object whose size is known shows by how much. Where nothing else tells the scale it gives that too.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from applique.errors import InputError
from applique.trace.outline import fitted, inset
from applique.trace.template import Template, TracedPage, box_of

MOST_STANDOFF_MM = 0.8
"""A pen that stands off by more is held wrong, or the scale is."""

_UNEVEN_MM = 0.3
"""Both sides of the object must tell of the same pen, within this."""

_LONG = 1.3
"""Only an object so much longer than wide tells the scale and the pen apart."""


@dataclass(frozen=True)
class KnownSize:
    """The label of an outline and the true size (longer side, shorter side) of its object, mm."""

    label: str
    size_mm: tuple[float, float]


def known_size(text: str) -> KnownSize:
    """Read `17=150x30` or `17=24.5`; raises ValueError saying what is wrong."""
    label, _, size = text.partition("=")
    try:
        sides = [float(side) for side in size.lower().split("x")]
    except ValueError:
        sides = []
    if not label.strip() or len(sides) not in (1, 2):
        raise ValueError(f"'{text}' is not of the form NUMBER=WIDTHxHEIGHT or NUMBER=DIAMETER")
    if not all(_SMALLEST_MM <= side <= _LARGEST_MM for side in sides):
        raise ValueError(f"a known size lies between {_SMALLEST_MM:g} and {_LARGEST_MM:g} mm")
    return KnownSize(label.strip(), (max(sides), min(sides)))


_SMALLEST_MM = 8.0
_LARGEST_MM = 1000.0


@dataclass(frozen=True)
class Calibration:
    """By what the page's scale is to be multiplied, and how far the pen stood off, in mm."""

    scale: float
    standoff_mm: float


def calibrated(template: Template, known: KnownSize, scale_is_known: bool) -> Calibration:
    """What a template of known size tells. Raises InputError where that can't be."""
    measured = _sides(template)
    long, short = known.size_mm
    if scale_is_known:
        apart = [(measured[0] - long) / 2, (measured[1] - short) / 2]
        if abs(apart[0] - apart[1]) > _UNEVEN_MM or abs(sum(apart) / 2) > MOST_STANDOFF_MM:
            text = (
                f"{known.label}: measures {measured[0]:.2f} x {measured[1]:.2f} mm, too far from "
                f"{long:g} x {short:g} mm; check --dpi, --paper and which outline is {known.label}"
            )
            raise InputError(text)
        return Calibration(1.0, sum(apart) / 2)
    if long / short < _LONG:
        return Calibration((long + short) / (measured[0] + measured[1]), 0.0)
    # measured * scale = known + 2 * standoff, along both sides.
    scale = (long - short) / (measured[0] - measured[1])
    standoff = (measured[0] * scale - long) / 2
    if not -0.1 <= standoff <= MOST_STANDOFF_MM:
        text = (
            f"{known.label}: {long:g} x {short:g} mm can't be its size; its sides are in the ratio "
            f"{measured[0] / measured[1]:.3f}"
        )
        raise InputError(text)
    return Calibration(scale, standoff)


def _sides(template: Template) -> tuple[float, float]:
    """The sides of the smallest rectangle around an outline, the longer first, in mm."""
    points = template.line.shape.points()
    box = shapely.minimum_rotated_rectangle(shapely.multipoints(points))
    corners = shapely.get_coordinates(box)
    first, second = np.hypot(*np.diff(corners[:3], axis=0).T)
    return float(max(first, second)), float(min(first, second))


def made_smaller(traced: TracedPage, by_mm: float) -> TracedPage:
    """A page whose outlines are all smaller by so much on each side."""
    if by_mm == 0:
        return traced
    return replace(traced, templates=tuple(_smaller(item, by_mm) for item in traced.templates))


def _smaller(template: Template, by_mm: float) -> Template:
    shape = inset(template.line.shape, by_mm)
    curve = fitted(shape)
    line = replace(template.line, shape=shape, curve=curve)
    return replace(template, line=line, curve=curve, box=box_of(shape.points()))
