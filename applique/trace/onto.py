"""Outlines put over a picture in a document, or a page added to it: for use in the editor."""

from __future__ import annotations

import base64
import binascii
import urllib.parse
from dataclasses import dataclass

import numpy as np
from lxml import etree

from applique.errors import InputError
from applique.svg import vocabulary as v
from applique.svg.transforms import chain_of, compose, inverse, root_matrix, viewbox_matrix
from applique.svg.viewport import length_of, shift_of, viewport_of_root
from applique.trace.page import Page
from applique.trace.write import NumberedPage, add_outlines, add_page, page_layer

_TRUE_SIZE = 0.002
"""A picture shown larger or smaller than life by more than this share gives pieces that are."""


@dataclass(frozen=True, eq=False)
class Shown:
    """A picture in a document: its element, and the file it links to or the bytes it holds."""

    element: etree._Element
    link: str
    data: bytes


def picture_in(root: etree._Element, ids: tuple[str, ...]) -> Shown | None:
    """The one picture among the selected elements; None if there is none. Raises InputError if
    there are several, or its data can't be read."""
    images = [
        element
        for element in root.iter(v.svg("image"))
        if any(_within(element, name) for name in ids)
    ]
    if not images:
        return None
    if len(images) > 1:
        raise InputError("several pictures are selected; select one at a time")
    link = images[0].get(f"{{{v.XLINK}}}href") or images[0].get("href") or ""
    if not link.startswith("data:"):
        return Shown(images[0], _file_name(link), b"")
    head, _, body = link.partition(",")
    try:
        if head.endswith(";base64"):
            data = base64.b64decode(body)
        else:
            data = urllib.parse.unquote_to_bytes(body)
    except (binascii.Error, ValueError):
        raise InputError("the selected picture's data is damaged; import it again") from None
    return Shown(images[0], "", data)


def _within(element: etree._Element, name: str) -> bool:
    """Whether an element has an id, or stands in a group that has it."""
    place: etree._Element | None = element
    while place is not None:
        if place.get("id") == name:
            return True
        place = place.getparent()
    return False


def _file_name(link: str) -> str:
    if "://" in link and not link.startswith("file://"):
        raise InputError("the selected picture is on a network; import it into the drawing")
    return urllib.parse.unquote(link.removeprefix("file://"))


def put_over(root: etree._Element, shown: Shown, item: NumberedPage) -> str:
    """Put a page's outlines exactly over its picture; returns a sentence if the picture is not
    shown at true size, else an empty text."""
    to_user = compose(chain_of(shown.element), _placement(root, shown.element, item.page))
    number = free_number(root)
    add_outlines(page_layer(root, number, item.page.name), item, number, to_user)
    to_mm = compose(root_matrix(root), to_user)
    shown_at = float(np.sqrt(abs(np.linalg.det(to_mm[:, :2]))))
    if abs(shown_at - 1) <= _TRUE_SIZE:
        return ""
    return (
        f"the picture is shown at {100 * shown_at:.1f} % of its true size, and so are the outlines "
        f"over it; it should be {item.page.width_mm:.1f} x {item.page.height_mm:.1f} mm"
    )


def _placement(root: etree._Element, image: etree._Element, page: Page) -> np.ndarray:
    """The (2, 3) matrix from mm on the page to the picture's own units."""
    height_px, width_px = page.grey.shape
    wide, high = viewport_of_root(root)
    width = length_of(image, "width", wide, width_px)
    height = length_of(image, "height", high, height_px)
    frame = etree.Element("frame", viewBox=f"0 0 {width_px} {height_px}")
    frame.set("preserveAspectRatio", image.get("preserveAspectRatio", "xMidYMid"))
    moved = compose(shift_of(image, (wide, high)), viewbox_matrix(frame, width, height))
    return compose(moved, np.array([[1 / page.mm_per_px, 0, 0], [0, 1 / page.mm_per_px, 0]]))


def put_beside(root: etree._Element, item: NumberedPage) -> None:
    """Add a page at true size, its corner at the document's."""
    number = free_number(root)
    to_user = inverse(root_matrix(root))
    add_page(page_layer(root, number, item.page.name), item, number, to_user)


def free_number(root: etree._Element) -> int:
    """The first number that no page in the document has."""
    taken = {element.get("id") for element in root.iter(v.svg("g"))}
    number = 1
    while f"page-{number}" in taken:
        number += 1
    return number
