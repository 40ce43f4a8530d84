"""New documents: a page in mm, its layers, and the frame of a block."""

from __future__ import annotations

from lxml import etree

from applique.svg import vocabulary as v
from applique.units import compact

_PREFIXES: dict[str | None, str] = {
    None: v.SVG,
    "xlink": v.XLINK,
    "inkscape": v.INKSCAPE,
    "sodipodi": v.SODIPODI,
    "ap": v.AP,
}


def new_document(width_mm: float, height_mm: float) -> etree._Element:
    """The root of an empty document whose user unit is a millimetre."""
    root = etree.Element(v.svg("svg"), nsmap=_PREFIXES)  # type: ignore[arg-type]
    width, height = compact(width_mm), compact(height_mm)
    root.set("width", f"{width}mm")
    root.set("height", f"{height}mm")
    root.set("viewBox", f"0 0 {width} {height}")
    root.set(v.ROOT_VERSION, v.VERSION)
    return root


def set_frame(
    root: etree._Element,
    name: str,
    finished_mm: tuple[float, float],
    seam_allowance_mm: float,
    background: str,
) -> None:
    """Write down a block's name, finished size, seam allowance and background, "" for none."""
    root.set(v.ROOT_BLOCK, name)
    root.set(v.ROOT_FINISHED, "x".join(compact(side) for side in finished_mm))
    root.set(v.ROOT_SEAM_ALLOWANCE, compact(seam_allowance_mm))
    if background:
        root.set(v.ROOT_BACKGROUND, background)


def add_layer(
    parent: etree._Element, name: str, label: str, locked: bool = False, hidden: bool = False
) -> etree._Element:
    """A new layer with an id and a label, on top of what is there."""
    layer = etree.SubElement(parent, v.svg("g"))
    layer.set("id", name)
    layer.set(v.inkscape("groupmode"), "layer")
    layer.set(v.inkscape("label"), label)
    if locked:
        layer.set(v.sodipodi("insensitive"), "true")
    if hidden:
        layer.set("style", "display:none")
    return layer
