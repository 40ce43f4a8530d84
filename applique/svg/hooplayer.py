"""The hooping layer: every field of a plan and its crosses, drawn over the block to be looked at.

Nothing reads it back; it is locked, and made anew as a whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from lxml import etree

from applique.geometry.lettering import lettered
from applique.svg import vocabulary as v
from applique.svg.layers import cleared_layer, digits_for, indent, unit_scale
from applique.svg.paths import write_points
from applique.svg.transforms import apply, inverse, root_matrix

ARM_MM = 3.0
NUMBER_MM = 9.0
NAME_MM = 3.0
_LINE_MM = 0.5
_CASING_MM = 1.3
_INSET_MM = 2.5
"""How far numbers stand inside the field's border."""

_FURTHER_MM = 22.0
"""From one hooping's number to where the next one's stands: the width of a field's name."""

_OUR_TAGS = (v.HOOPING, v.CROSS)


@dataclass(frozen=True)
class DrawnHooping:
    """One hooping as it is drawn: its number, its field's name, the field on the block (left, top,
    right and bottom in mm on the page) and the colour it is drawn in."""

    number: int
    field: str
    box_mm: tuple[float, float, float, float]
    colour: str


@dataclass(frozen=True)
class DrawnCross:
    """A cross: its name and its middle in mm on the page."""

    name: str
    place_mm: tuple[float, float]


def write_hoopings(
    root: etree._Element, hoopings: Sequence[DrawnHooping], crosses: Sequence[DrawnCross]
) -> None:
    """Draw a plan on the document's hooping layer, in place of what stands there."""
    layer = cleared_layer(root, v.ROLE_HOOPING, "Hoopings", _is_ours)
    layer.set(v.sodipodi("insensitive"), "true")
    pen = _Pen(root)
    for hooping in hoopings:
        group = etree.SubElement(layer, v.svg("g"))
        group.set("id", f"ap-hooping-{hooping.number}")
        group.set(v.inkscape("label"), f"Hooping {hooping.number}, {hooping.field}")
        group.set(v.HOOPING, str(hooping.number))
        pen.draw(group, _field_lines(hooping), hooping.colour)
    for cross in crosses:
        group = etree.SubElement(layer, v.svg("g"))
        group.set("id", f"ap-cross-{cross.name}")
        group.set(v.inkscape("label"), f"Cross {cross.name}")
        group.set(v.CROSS, cross.name)
        pen.draw(group, _cross_lines(cross), "#000000")
    indent(layer)


class _Pen:
    """Draws lines given in mm on the page, in the units of a document."""

    def __init__(self, root: etree._Element) -> None:
        self._scale = unit_scale(root)
        self._to_user = inverse(root_matrix(root))

    def style(self, colour: str, width_mm: float) -> str:
        """Lines alone, in a colour."""
        width = f"{width_mm / self._scale:.4g}"
        return f"fill:none;stroke:{colour};stroke-width:{width};stroke-linecap:round"

    def draw(self, group: etree._Element, lines: Sequence[np.ndarray], colour: str) -> None:
        """Add lines, (n, 2) each, to a group: on white, so that they show on every fabric."""
        for width_mm, pen in ((_CASING_MM, "#ffffff"), (_LINE_MM, colour)):
            style = self.style(pen, width_mm)
            for line in lines:
                path = etree.SubElement(group, v.svg("path"))
                path.set("d", write_points(apply(self._to_user, line), digits_for(self._scale)))
                path.set("style", style)


def _field_lines(hooping: DrawnHooping) -> list[np.ndarray]:
    """The border, and the number and the size at its upper side: every number stands a little
    further along, so that fields that begin at one corner can be told apart."""
    left, top, right, bottom = hooping.box_mm
    border = np.array([[left, top], [right, top], [right, bottom], [left, bottom], [left, top]])
    further = (hooping.number - 1) * _FURTHER_MM % max(right - left - _FURTHER_MM, 1.0)
    corner = np.array([left + _INSET_MM + further, top + _INSET_MM])
    number = [line + corner for line in lettered(str(hooping.number), NUMBER_MM)]
    below = corner + np.array([0.0, NUMBER_MM + _INSET_MM / 2])
    return [border, *number, *(line + below for line in lettered(hooping.field, NAME_MM))]


def _cross_lines(cross: DrawnCross) -> list[np.ndarray]:
    """Both arms of a cross and its name."""
    place = np.array(cross.place_mm)
    across = np.array([[-ARM_MM, 0.0], [ARM_MM, 0.0]]) + place
    down = np.array([[0.0, -ARM_MM], [0.0, ARM_MM]]) + place
    name = [line + place + [1.0, -ARM_MM - 1.0] for line in lettered(cross.name, NAME_MM)]
    return [across, down, *name]


def _is_ours(element: etree._Element) -> bool:
    return any(element.get(tag) is not None for tag in _OUR_TAGS)
