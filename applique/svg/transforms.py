"""Transforms and viewports: from an element's own units to millimetres on the page.

A transform is a (2, 3) affine matrix. Rules: SVG 2, chapter 8 (coordinate systems, viewBox and
preserveAspectRatio).
"""

from __future__ import annotations

import math
import re

import numpy as np
from lxml import etree

from applique.errors import InputError
from applique.svg.vocabulary import svg
from applique.units import (
    FURTHEST_MM,
    LARGEST,
    MM_PER_PX,
    MM_PER_UNIT,
    NUMBER,
    numbers_in,
    read_number,
    split_length,
)

SMALLEST_PAGE_MM = 1.0
"""No block is drawn on a smaller page."""

_SMALLEST_SIDE = 1 / LARGEST
"""User units. A viewBox that is narrower shows nothing; its scale would be without bound."""

IDENTITY = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])

_FUNCTION = re.compile(r"\s*,?\s*([a-zA-Z]+)\s*\(([^)]*)\)\s*")
_ARGUMENT = re.compile(NUMBER)
_ALIGN_SHARE = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}


def compose(outer: np.ndarray, inner: np.ndarray) -> np.ndarray:
    """The transform that first applies `inner`, then `outer`. Numbers beyond all bounds become
    infinite, which whoever uses the result must notice."""
    with np.errstate(over="ignore", invalid="ignore"):
        linear = outer[:, :2] @ inner[:, :2]
        shift = outer[:, :2] @ inner[:, 2] + outer[:, 2]
    return np.column_stack([linear, shift])


def inverse(matrix: np.ndarray) -> np.ndarray:
    """The transform that undoes `matrix`; raises numpy.linalg.LinAlgError if there is none."""
    linear = np.linalg.inv(matrix[:, :2])
    return np.column_stack([linear, -linear @ matrix[:, 2]])


def apply(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Points (n, 2) moved by a transform."""
    return points @ matrix[:, :2].T + matrix[:, 2]


def parse_transform(text: str | None) -> np.ndarray:
    """Read a transform attribute; raises ValueError naming what can't be read."""
    text = (text or "").strip()
    try:
        return _parsed(text)
    except ValueError as problem:
        raise ValueError(f"its transform '{text[:40]}' can't be read: {problem}") from None


def _parsed(text: str) -> np.ndarray:
    matrix = IDENTITY
    position = 0
    while position < len(text):
        match = _FUNCTION.match(text, position)
        if match is None:
            raise ValueError(f"'{text[position:][:20]}' is no transform function")
        numbers = [read_number(number) for number in _ARGUMENT.findall(match[2])]
        function = _function_matrix(match[1], numbers)
        if function is None:
            raise ValueError(f"'{match[0].strip()}' has the wrong name or number of arguments")
        matrix = compose(matrix, function)
        position = match.end()
    return matrix


def _function_matrix(name: str, numbers: list[float]) -> np.ndarray | None:
    """One transform function; None if there is none of that name and number of arguments."""
    match name, len(numbers):
        case "matrix", 6:
            a, b, c, d, e, f = numbers
            return np.array([[a, c, e], [b, d, f]])
        case "translate", 1 | 2:
            return np.array([[1, 0, numbers[0]], [0, 1, (numbers[1:] or [0.0])[0]]], dtype=float)
        case "scale", 1 | 2:
            return np.array([[numbers[0], 0, 0], [0, numbers[-1], 0]], dtype=float)
        case "rotate", 1 | 3:
            centre = np.array(numbers[1:] or [0.0, 0.0])
            c, s = math.cos(math.radians(numbers[0])), math.sin(math.radians(numbers[0]))
            turn = np.array([[c, -s], [s, c]])
            return np.column_stack([turn, centre - turn @ centre])
        case "skewX", 1:
            return np.array([[1, math.tan(math.radians(numbers[0])), 0], [0, 1, 0]], dtype=float)
        case "skewY", 1:
            return np.array([[1, 0, 0], [math.tan(math.radians(numbers[0])), 1, 0]], dtype=float)
    return None


def chain_of(element: etree._Element) -> np.ndarray:
    """From an element's own units to the root's: its transform and those of the groups around it,
    which an editor leaves wherever something was dragged. Raises ValueError as `parse_transform`
    does."""
    matrix = parse_transform(element.get("transform"))
    for around in element.iterancestors(svg("g")):
        if around.get("transform"):
            matrix = compose(parse_transform(around.get("transform")), matrix)
    return matrix


def viewbox_of(element: etree._Element) -> tuple[float, float, float, float] | None:
    """The viewBox as x, y, width, height; None if there is none that draws anything."""
    try:
        numbers = numbers_in(element.get("viewBox", ""))
    except ValueError:
        return None
    if len(numbers) != 4 or min(numbers[2:]) < _SMALLEST_SIDE:
        return None
    return numbers[0], numbers[1], numbers[2], numbers[3]


def viewbox_matrix(element: etree._Element, width: float, height: float) -> np.ndarray:
    """From the inside of an svg or symbol to its viewport of `width` x `height`."""
    box = viewbox_of(element)
    if box is None:
        return IDENTITY
    x, y, box_width, box_height = box
    scale_x, scale_y = width / box_width, height / box_height
    fit = element.get("preserveAspectRatio", "").split() or ["xMidYMid"]
    align = fit[1] if fit[0] == "defer" and len(fit) > 1 else fit[0]
    if align == "none":
        return np.array([[scale_x, 0, -x * scale_x], [0, scale_y, -y * scale_y]])
    scale = max(scale_x, scale_y) if "slice" in fit else min(scale_x, scale_y)
    share_x = _ALIGN_SHARE.get(align[1:4], 0.5)
    share_y = _ALIGN_SHARE.get(align[5:8], 0.5)
    shift_x = share_x * (width - box_width * scale) - x * scale
    shift_y = share_y * (height - box_height * scale) - y * scale
    return np.array([[scale, 0, shift_x], [0, scale, shift_y]])


def page_size_mm(root: etree._Element) -> tuple[float, float]:
    """Width and height of the page in mm. Without a size of its own, its viewBox is in px.

    Raises InputError if they can't be read, or are no size a page can have.
    """
    box = viewbox_of(root)
    if root.get("viewBox") is not None and box is None:
        raise InputError(
            f"the page's viewBox '{root.get('viewBox')}' can't be read; set the page's size in "
            "Document Properties"
        )
    fallback = (box[2], box[3]) if box else (300.0, 150.0)
    return _side_mm(root, "width", fallback[0]), _side_mm(root, "height", fallback[1])


def _side_mm(root: etree._Element, name: str, fallback_px: float) -> float:
    text = root.get(name, "100%")
    try:
        number, unit = split_length(text)
        side = number * (fallback_px * MM_PER_PX / 100 if unit == "%" else MM_PER_UNIT[unit])
    except (ValueError, KeyError):
        side = 0.0
    if not SMALLEST_PAGE_MM <= side <= FURTHEST_MM:
        raise InputError(
            f"the page's {name} '{text}' is no size of {SMALLEST_PAGE_MM:g} mm to "
            f"{FURTHEST_MM / 1000:g} m; set the page's size in Document Properties"
        )
    return side


def root_matrix(root: etree._Element) -> np.ndarray:
    """From the root's user units to millimetres on the page; raises InputError as `page_size_mm`
    does."""
    width, height = page_size_mm(root)
    if viewbox_of(root) is None:
        return np.array([[MM_PER_PX, 0.0, 0.0], [0.0, MM_PER_PX, 0.0]])
    return viewbox_matrix(root, width, height)
