"""The project's own layers in a document: found or made, cleared, and the units they have."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import cast

import numpy as np
from lxml import etree

from applique.svg import vocabulary as v
from applique.svg.transforms import root_matrix

WRITTEN_WITHIN_MM = 0.001
"""Writers keep every penetration this near to its place."""


def cleared_layer(
    root: etree._Element, role: str, name: str, is_ours: Callable[[etree._Element], bool]
) -> etree._Element:
    """The layer with a role, without what is ours; made as the root's last child if there is none.

    Further layers with the same role, such as a copy made by hand, are cleared too. What the user
    put into them stays.
    """
    layers = [child for child in root if child.get(v.ROLE) == role]
    for layer in layers:
        _clear(layer, is_ours)
    return layers[0] if layers else _new_layer(root, role, name)


def _new_layer(root: etree._Element, role: str, name: str) -> etree._Element:
    layer = etree.SubElement(root, v.svg("g"))
    layer.set("id", f"ap-{role}")
    layer.set(v.inkscape("groupmode"), "layer")
    layer.set(v.inkscape("label"), name)
    layer.set(v.ROLE, role)
    return layer


def _clear(layer: etree._Element, is_ours: Callable[[etree._Element], bool]) -> None:
    """Take what is ours out of a layer, and the groups that this leaves empty.

    The layer's own transform, which what is ours is written without, goes over to the rest, so that
    it stays where it is seen.
    """
    for element in [element for element in layer.iter() if is_ours(element)]:
        emptied = element
        around = cast(etree._Element, emptied.getparent())
        around.remove(emptied)
        while around is not layer and len(around) == 0:
            emptied, beyond = around, around.getparent()
            if beyond is None:  # It stood in what was taken out before.
                break
            around = beyond
            around.remove(emptied)
    transform = str(layer.attrib.pop("transform", ""))
    if transform:
        for child in layer.iterchildren("*"):
            child.set("transform", f"{transform} {child.get('transform', '')}".strip())


def unit_scale(root: etree._Element) -> float:
    """Millimetres in one user unit of the root."""
    matrix = root_matrix(root)
    return math.sqrt(abs(float(np.linalg.det(matrix[:, :2]))))


def digits_for(scale: float) -> int:
    """Decimals that keep a number of user units within 0.001 mm."""
    return max(0, math.ceil(math.log10(scale / (2 * WRITTEN_WITHIN_MM))))


def indent(layer: etree._Element) -> None:
    """One element a line, two spaces a level, so that a change of one step is a change of its own
    lines."""
    etree.indent(layer, space="  ", level=1)
    layer.tail = "\n"
