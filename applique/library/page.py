"""The page of a composed block: its frame, its fabrics, its background, and no pieces yet."""

from __future__ import annotations

from collections.abc import Mapping

from lxml import etree

from applique.library.layout import Layout
from applique.model import Fabric
from applique.settings import plain
from applique.svg import vocabulary as v
from applique.svg.newdoc import add_layer, new_document, set_frame
from applique.svg.tagging import fabric_element
from applique.units import compact

MARGIN_MM = 12.7
"""The page goes on by half an inch around the finished block: room for seam and hooping marks."""


def block_page(layout: Layout, fabrics: Mapping[str, Fabric]) -> etree._Element:
    """The block's page with its background and its seam line, and no pieces yet."""
    width, height = layout.finished_mm
    root = new_document(width + 2 * MARGIN_MM, height + 2 * MARGIN_MM)
    set_frame(root, layout.block, layout.finished_mm, layout.seam_allowance_mm, layout.background)
    if layout.block:
        etree.SubElement(root, v.svg("title")).text = layout.block
    metadata = etree.SubElement(root, v.svg("metadata"))
    for fabric in fabrics.values():
        metadata.append(fabric_element(fabric))
    if layout.defaults:
        defaults = etree.SubElement(metadata, v.META_DEFAULTS)
        for name, value in layout.defaults.items():
            defaults.set(name, plain(value))
    etree.SubElement(root, v.svg("defs"))
    ground = add_layer(root, "background", "background", locked=True)
    colour = fabrics[layout.background].colour if layout.background else "#ffffff"
    _rectangle(ground, layout, layout.seam_allowance_mm, f"fill:{colour};stroke:none")
    _rectangle(ground, layout, 0.0, "fill:none;stroke:#808080;stroke-width:0.25")
    return root


def _rectangle(layer: etree._Element, layout: Layout, beyond_mm: float, style: str) -> None:
    """The finished block, or so much more on each side."""
    beyond = min(beyond_mm, MARGIN_MM)
    rectangle = etree.SubElement(layer, v.svg("rect"))
    rectangle.set("x", compact(MARGIN_MM - beyond))
    rectangle.set("y", compact(MARGIN_MM - beyond))
    rectangle.set("width", compact(layout.finished_mm[0] + 2 * beyond))
    rectangle.set("height", compact(layout.finished_mm[1] + 2 * beyond))
    rectangle.set("style", style)
