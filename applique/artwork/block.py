"""The new document: a page in mm with tagged paths in stacking order, and their fabrics."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lxml import etree

from applique.artwork.part import DIGITS, Part
from applique.artwork.place import Placing
from applique.model import Fabric
from applique.svg import vocabulary as v
from applique.svg.details import SPOT
from applique.svg.document import SEAM_ALLOWANCE_MM
from applique.svg.newdoc import add_layer, new_document, set_frame
from applique.svg.paths import write_path
from applique.svg.tagging import fabric_element
from applique.units import compact


def block_document(
    name: str,
    parts: Sequence[Part],
    fabrics: Mapping[str, Fabric],
    background: Fabric | None,
    placing: Placing,
) -> etree._ElementTree:
    """The block as a document. `fabrics` holds the fabric of each colour; parts get their numbers
    in their order, from 1."""
    root = new_document(*placing.page_mm)
    told = "" if background is None else background.name
    set_frame(root, name, placing.finished_mm, SEAM_ALLOWANCE_MM, told)
    etree.SubElement(root, v.svg("title")).text = name
    used = [background] if background is not None else []
    used += [fabrics[part.colour] for part in parts if not part.detail]
    _add_metadata(root, used)
    if background is not None:
        root.append(_background(background, placing))
    layer = add_layer(root, "artwork", "Artwork")
    for number, part in enumerate(parts, start=1):
        layer.append(_path(part, str(number), fabrics[part.colour]))
    etree.indent(root)
    return etree.ElementTree(root)


def _add_metadata(root: etree._Element, used: Sequence[Fabric]) -> None:
    metadata = etree.SubElement(root, v.svg("metadata"))
    for fabric in dict.fromkeys(used):
        metadata.append(fabric_element(fabric))


def _background(fabric: Fabric, placing: Placing) -> etree._Element:
    """The background on the whole page, seam allowance and all."""
    rect = etree.Element(v.svg("rect"))
    rect.set("id", "background")
    rect.set("width", compact(placing.page_mm[0]))
    rect.set("height", compact(placing.page_mm[1]))
    rect.set("fill", fabric.colour)
    return rect


def _path(part: Part, label: str, fabric: Fabric) -> etree._Element:
    path = etree.Element(v.svg("path"))
    path.set("id", f"piece-{label}")
    path.set(v.inkscape("label"), part.name)
    path.set(v.PIECE, label)
    if part.detail:
        path.set(v.DETAIL, part.detail)
    else:
        path.set(v.FABRIC, fabric.name)
    if part.detail and part.detail != SPOT:
        _set_line(path, part, fabric.colour)
    else:
        path.set("fill", fabric.colour)
        if part.rule == "evenodd":
            path.set("fill-rule", part.rule)
    path.set("d", write_path(part.curves, DIGITS))
    return path


def _set_line(path: etree._Element, part: Part, colour: str) -> None:
    path.set("fill", "none")
    path.set("stroke", colour)
    width = compact(part.width_mm)
    path.set("stroke-width", width)
    if part.detail == "line":
        path.set(v.ap("detail-width"), width)
