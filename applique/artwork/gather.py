"""Everything an artwork draws that can become a piece or a line, and what can't."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass, replace

import numpy as np
from lxml import etree

from applique.artwork.paint import Paint, Painter, Stroke
from applique.artwork.told import Told
from applique.errors import InputError
from applique.geometry.curves import transformed
from applique.geometry.rings import FillRule
from applique.model import Curve
from applique.report import warning
from applique.svg import vocabulary as v
from applique.svg.outlines import rule_of
from applique.svg.select import name_of
from applique.svg.shapes import curves_of
from applique.svg.transforms import IDENTITY, page_size_mm, viewbox_of
from applique.svg.tree import Drawn, drawn
from applique.units import FURTHEST_MM, MM_PER_PX


@dataclass(frozen=True, eq=False)
class Shape:
    """A shape that is seen. `curves` are in its own units, which `matrix` (2, 3) leads to mm on the
    artwork's page; its stroke's width is in those units too. `fill` is its colour, or None."""

    name: str
    curves: tuple[Curve, ...]
    matrix: np.ndarray
    rule: FillRule
    fill: str | None
    stroke: Stroke | None


@dataclass(frozen=True, eq=False)
class Gathered:
    """The shapes of an artwork in stacking order, the lowest first; and the size of its page in mm,
    None where it does not say how large that is."""

    shapes: tuple[Shape, ...]
    page_mm: tuple[float, float] | None


def gather(root: etree._Element, told: Told) -> Gathered:
    """The shapes of an artwork; what is left out is told.

    Raises InputError if the document draws without end.
    """
    root = _with_page(root)
    painter = Painter(root)
    page_mm = _page_mm(root)
    _tell_of_the_document(root, told)
    shapes = []
    # All at once: a document that draws without end is refused before anything is made of it.
    for number, item in enumerate(list(drawn(root)), start=1):
        shape = _shape(item, _name(item, number), painter, told)
        if shape is not None and page_mm is not None and _is_beside(shape, page_mm):
            told.add("off-page", shape.name)
        elif shape is not None:
            shapes.append(shape)
    return Gathered(tuple(shapes), page_mm)


def page_curves(shape: Shape) -> list[Curve]:
    """The curves of a shape in mm on the artwork's page."""
    return [transformed(curve, shape.matrix) for curve in shape.curves]


def _with_page(root: etree._Element) -> etree._Element:
    """The document itself; or a copy with its viewBox in px as its page, if it has a size that
    can't be used, 1em say. How large an artwork is drawn does not matter."""
    try:
        page_size_mm(root)
    except InputError:
        root = deepcopy(root)
        unusable = ("width", "height") if viewbox_of(root) else ("width", "height", "viewBox")
        for name in unusable:
            root.attrib.pop(name, "")
    return root


def _page_mm(root: etree._Element) -> tuple[float, float] | None:
    """The page, None where the document does not say how large it is."""
    has_size = all(not root.get(name, "%").strip().endswith("%") for name in ("width", "height"))
    return page_size_mm(root) if has_size or viewbox_of(root) is not None else None


def _tell_of_the_document(root: etree._Element, told: Told) -> None:
    if any(child.get(v.ROLE) is not None for child in root):
        told.add("layers", "")
    if any(element.get(v.PIECE) is not None for element in root.iter("*")):
        told.add("tags", "")
    for element in root.iter(v.svg("foreignObject")):
        if not element.get("requiredExtensions"):
            told.add("foreign", element.get("id", "") or "<foreignObject>")


def _name(item: Drawn, number: int) -> str:
    """How to call a shape; one without a name gets its number among all that is drawn."""
    name = name_of(item)
    return f"{name} {number}" if name.startswith("<") else name


def _shape(item: Drawn, name: str, painter: Painter, told: Told) -> Shape | None:
    if item.kind == "group":
        return None
    if not item.look.shown:
        told.add("hidden", name)
        return None
    if item.kind != "shape":
        told.add(item.kind, name)
        return None
    paint = painter.paint(item)
    fill = None if item.element.tag == v.svg("line") else paint.fill
    if fill is None and paint.stroke is None:
        return None
    curves = _curves(item, name, told)
    if not curves:
        return None
    for code in sorted(paint.remarks):
        told.add(code, name)
    rule = rule_of([item])
    shape = Shape(name, tuple(curves), item.matrix, rule, fill, paint.stroke)
    return _on_the_page(shape, paint) if paint.unscaled else shape


def _is_flat(matrix: np.ndarray) -> bool:
    """Whether a transform leaves nothing of a shape but a line."""
    with np.errstate(over="ignore", invalid="ignore"):
        return bool(np.linalg.det(matrix[:, :2]) == 0)


def _curves(item: Drawn, name: str, told: Told) -> list[Curve]:
    """The curves in the shape's own units; none if they can't be read or placed."""
    try:
        if item.fault:
            raise ValueError(item.fault)
        if _is_flat(item.matrix):
            raise ValueError("its transform flattens it to nothing")
        curves = curves_of(item.element, item.viewport)
        with np.errstate(over="ignore", invalid="ignore"):
            reach = [np.abs(transformed(curve, item.matrix).segments).max() for curve in curves]
        if not all(distance <= FURTHEST_MM for distance in reach):
            far = f"reaches {FURTHEST_MM / 1000:g} m or more from the page"
            raise ValueError(f"it {far}; check its transforms")
    except ValueError as problem:
        text = f"was left out: {problem}; draw it again or mend it"
        told.say(warning("unreadable", name, text))
        return []
    return curves


def _on_the_page(shape: Shape, paint: Paint) -> Shape:
    """A shape in mm on the page, where a stroke that no transform widens has its width in px."""
    stroke = paint.stroke and replace(paint.stroke, width=paint.stroke.width * MM_PER_PX)
    curves = tuple(page_curves(shape))
    return replace(shape, curves=curves, matrix=IDENTITY, stroke=stroke)


def _is_beside(shape: Shape, page_mm: tuple[float, float]) -> bool:
    """Whether nothing of a shape can be on the page: no curve leaves the hull of its points."""
    points = np.concatenate([curve.segments.reshape(-1, 2) for curve in page_curves(shape)])
    around = 0.0
    if shape.stroke is not None:
        around = shape.stroke.width * float(np.abs(shape.matrix[:, :2]).max())
    low, high = points.min(axis=0) - around, points.max(axis=0) + around
    return bool(np.any(high <= 0) or np.any(low >= page_mm))
