"""Traced pages as one SVG: each page a layer with its scan, its outlines and what was left out."""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from lxml import etree
from PIL import Image

from applique.geometry.curves import transformed
from applique.svg import vocabulary as v
from applique.svg.ids import id_part
from applique.svg.newdoc import add_layer, new_document
from applique.svg.paths import write_path, write_points
from applique.trace.page import Page
from applique.trace.template import LeftOut, Template, TracedPage

BESIDE_MM = 10.0
"""Later pages stand beside the first, so far apart."""

DIGITS = 3
"""Coordinates are written to a thousandth of a millimetre."""

_JPEG_QUALITY = 80
_LINE_MM = 0.15
_TEXT_MM = 5.0
_RING_MM = 3.0
"""Size of the rings around what deserves a look."""


@dataclass(frozen=True, eq=False)
class NumberedPage:
    """A traced page and the labels of its templates."""

    page: Page
    traced: TracedPage
    labels: tuple[str, ...]


def pieces_document(pages: Sequence[NumberedPage]) -> etree._ElementTree:
    """All pages as a document in mm."""
    width = sum(item.page.width_mm for item in pages) + BESIDE_MM * (len(pages) - 1)
    height = max(item.page.height_mm for item in pages)
    root = new_document(width, height)
    etree.SubElement(root, v.svg("title")).text = "Traced templates"
    left_mm = 0.0
    for number, item in enumerate(pages, start=1):
        layer = page_layer(root, number, item.page.name)
        add_page(layer, item, number, np.array([[1, 0, left_mm], [0, 1, 0]], float))
        left_mm += item.page.width_mm + BESIDE_MM
    etree.indent(root)
    return etree.ElementTree(root)


def add_page(layer: etree._Element, item: NumberedPage, number: int, matrix: np.ndarray) -> None:
    """Put a page's scan, outlines and remarks into a layer; the (2, 3) `matrix` moves and scales mm
    on the page to the layer's units."""
    scan = add_layer(layer, f"page-{number}-scan", "scan", locked=True)
    scan.set("style", "opacity:0.4")
    scan.append(_image(item.page, matrix))
    add_outlines(layer, item, number, matrix)


def add_outlines(
    layer: etree._Element, item: NumberedPage, number: int, matrix: np.ndarray
) -> None:
    """Put a page's outlines, what is doubtful about them and what was left out into a layer; the
    (2, 3) `matrix` leads from mm on the page to the layer's units."""
    scale = float(np.sqrt(abs(np.linalg.det(matrix[:, :2]))))
    hidden = add_layer(layer, f"page-{number}-left-out", "left out", locked=True, hidden=True)
    for left in item.traced.left_out:
        hidden.append(_left_out(left, matrix))
    outlines = add_layer(layer, f"page-{number}-outlines", "outlines")
    for label, template in zip(item.labels, item.traced.templates, strict=True):
        outlines.append(_outline(label, template, number, matrix, _LINE_MM * scale))
        for line in template.kept:
            outlines.append(_kept(label, line, matrix, _LINE_MM * scale))
    remarks = add_layer(layer, f"page-{number}-remarks", "numbers and remarks", locked=True)
    for label, template in zip(item.labels, item.traced.templates, strict=True):
        remarks.append(_number(label, template, matrix, _TEXT_MM * scale))
        for doubt in template.doubts:
            remarks.append(_ring(doubt.place, f"{label}: {doubt.text}", matrix, scale))
    for opened in item.traced.open_lines:
        for place in (opened.start, opened.stop):
            text = f"a line is open here, {opened.width_mm:.1f} mm from its other end"
            remarks.append(_ring(place, text, matrix, scale))


def page_layer(root: etree._Element, number: int, name: str) -> etree._Element:
    """A new layer for a page, on top of everything."""
    return add_layer(root, f"page-{number}", name)


def _image(page: Page, matrix: np.ndarray) -> etree._Element:
    buffer = io.BytesIO()
    Image.fromarray(page.grey).save(buffer, "JPEG", quality=_JPEG_QUALITY)
    image = etree.Element(v.svg("image"))
    image.set("x", _number_text(float(matrix[0, 2])))
    image.set("y", _number_text(float(matrix[1, 2])))
    image.set("width", _number_text(page.width_mm * float(matrix[0, 0])))
    image.set("height", _number_text(page.height_mm * float(matrix[1, 1])))
    image.set("preserveAspectRatio", "none")
    data = base64.b64encode(buffer.getvalue()).decode("ascii")
    image.set(f"{{{v.XLINK}}}href", f"data:image/jpeg;base64,{data}")
    return image


def _outline(
    label: str, template: Template, number: int, matrix: np.ndarray, width: float
) -> etree._Element:
    path = etree.Element(v.svg("path"))
    path.set("id", f"page-{number}-piece-{id_part(label)}")
    path.set(v.inkscape("label"), label)
    path.set(v.PIECE, label)
    path.set("d", write_path([transformed(template.curve, matrix)], DIGITS))
    path.set("style", f"fill:none;stroke:#c2185b;stroke-width:{width:.3g}")
    if template.doubts:
        title = etree.SubElement(path, v.svg("title"))
        title.text = f"{label}: " + "; ".join(doubt.text for doubt in template.doubts)
    return path


def _kept(label: str, line: np.ndarray, matrix: np.ndarray, width: float) -> etree._Element:
    path = etree.Element(v.svg("path"))
    path.set(v.inkscape("label"), f"mark on {label}")
    path.set("d", write_points(line @ matrix[:, :2].T + matrix[:, 2], DIGITS))
    path.set("style", f"fill:none;stroke:#00695c;stroke-width:{width:.3g}")
    return path


def _left_out(left: LeftOut, matrix: np.ndarray) -> etree._Element:
    path = etree.Element(v.svg("path"))
    path.set(v.inkscape("label"), left.kind)
    path.set("d", write_points(left.border @ matrix[:, :2].T + matrix[:, 2], DIGITS) + " Z")
    path.set("style", "fill:#ef6c00;fill-opacity:0.5;stroke:none")
    return path


def _number(label: str, template: Template, matrix: np.ndarray, size: float) -> etree._Element:
    left, top, right, bottom = template.box
    x, y = matrix[:, :2] @ np.array([(left + right) / 2, (top + bottom) / 2]) + matrix[:, 2]
    text = etree.Element(v.svg("text"))
    text.set("x", _number_text(float(x)))
    text.set("y", _number_text(float(y) + size / 3))
    text.set(
        "style", f"font-size:{size:.3g}px;font-family:sans-serif;text-anchor:middle;fill:#c2185b"
    )
    text.text = label
    return text


def _ring(
    place: tuple[float, float], sentence: str, matrix: np.ndarray, scale: float
) -> etree._Element:
    x, y = matrix[:, :2] @ np.array(place) + matrix[:, 2]
    ring = etree.Element(v.svg("circle"))
    ring.set("cx", _number_text(float(x)))
    ring.set("cy", _number_text(float(y)))
    ring.set("r", _number_text(_RING_MM * scale))
    ring.set("style", f"fill:none;stroke:#ef6c00;stroke-width:{0.4 * scale:.3g}")
    etree.SubElement(ring, v.svg("title")).text = sentence
    return ring


def _number_text(value: float) -> str:
    return f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")
