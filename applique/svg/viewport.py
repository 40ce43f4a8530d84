"""Nested viewports: how svg elements and clones place what they show (SVG 2, chapters 5 and 8)."""

from __future__ import annotations

import numpy as np
from lxml import etree

from applique.svg.transforms import compose, page_size_mm, viewbox_matrix, viewbox_of
from applique.svg.vocabulary import svg
from applique.units import MM_PER_PX, MM_PER_UNIT, split_length

Viewport = tuple[float, float]
"""Width and height, in user units, that percentages refer to."""


def length_of(element: etree._Element, name: str, whole: float, default: float = 0.0) -> float:
    """A length attribute in user units; `whole` is what a percentage refers to.

    An absolute unit counts in CSS px (SVG 2, section 8.9). Raises ValueError if it can't be read.
    """
    text = element.get(name)
    if text is None or text.strip() == "auto":
        return default
    try:
        number, unit = split_length(text)
    except ValueError as problem:
        raise ValueError(f"its {name} can't be read: {problem}") from None
    if unit == "%":
        return number / 100 * whole
    if unit in MM_PER_UNIT:
        return number * MM_PER_UNIT[unit] / MM_PER_PX
    raise ValueError(f"its {name} has the unit '{unit}', which has no fixed length")


def viewport_of_root(root: etree._Element) -> Viewport:
    """The viewport of the whole page."""
    box = viewbox_of(root)
    width, height = page_size_mm(root)
    return (box[2], box[3]) if box else (width / MM_PER_PX, height / MM_PER_PX)


def shift_of(element: etree._Element, viewport: Viewport) -> np.ndarray:
    """The transform by x and y of a nested svg or a use; raises ValueError as `length_of` does."""
    x, y = length_of(element, "x", viewport[0]), length_of(element, "y", viewport[1])
    return np.array([[1.0, 0.0, x], [0.0, 1.0, y]])


def inside(
    element: etree._Element, viewport: Viewport, use: etree._Element | None = None
) -> tuple[np.ndarray, Viewport]:
    """From the inside of an svg or symbol to its surroundings, and the viewport there.

    Seen through a `use`, the width and height of that come before its own. Raises ValueError as
    `length_of` does.
    """
    width = length_of(element, "width", viewport[0], viewport[0])
    height = length_of(element, "height", viewport[1], viewport[1])
    if use is not None:
        width = length_of(use, "width", viewport[0], width)
        height = length_of(use, "height", viewport[1], height)
    matrix = viewbox_matrix(element, width, height)
    if element.tag == svg("svg"):
        matrix = compose(shift_of(element, viewport), matrix)
    box = viewbox_of(element)
    return matrix, (box[2], box[3]) if box else (width, height)
