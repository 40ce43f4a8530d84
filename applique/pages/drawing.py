"""Drawings of `paper/` as pictures in a page."""

from __future__ import annotations

from collections.abc import Sequence

from lxml import etree

from applique.paper.drawing import Item, Page
from applique.paper.html import page_picture
from applique.paper.sizes import SizeMm


def drawn_picture(items: Sequence[Item], size_mm: SizeMm, label: str) -> etree._Element:
    """Items within a box from (0, 0) to a size in mm, as an SVG element; `label` says to those who
    don't see it what it shows."""
    return page_picture(Page(*size_mm, tuple(items), label))
