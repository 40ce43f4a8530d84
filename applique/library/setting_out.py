"""Templates set out on a block's page, side by side, to be moved to their places by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from lxml import etree

from applique.library.master import Master
from applique.library.placing import Pose, bring_symbols, clone_of, matrix_of
from applique.svg import vocabulary as v
from applique.svg.ids import free_id, id_part, ids_in
from applique.svg.labels import copies_of
from applique.svg.tagging import declare_prefixes
from applique.svg.transforms import chain_of, page_size_mm

_GAP_MM = 5.0
"""Templates lie so far apart."""

_FILL = "#c4cad0"
"""A piece has this colour until it gets a fabric."""


@dataclass(frozen=True)
class Way:
    """How templates are laid: turned clockwise by degrees, mirrored or not, scaled."""

    turn_degrees: float = 0.0
    mirrored: bool = False
    scale: float = 1.0


def set_out(root: etree._Element, masters: Sequence[Master], way: Way) -> tuple[str, ...]:
    """Put clones of templates on the page in rows around its middle, into the layer that is open in
    the editor; returns their labels."""
    declare_prefixes(root)
    layer = _open_layer(root)
    around = chain_of(layer) if layer is not root else chain_of(etree.Element("none"))
    taken = {str(element.get(v.PIECE)) for element in root.iter("*") if element.get(v.PIECE)}
    sizes = [_size(master, way) for master in masters]
    symbols = bring_symbols(root, masters)
    ids = ids_in(root)
    labels = []
    for master, middle in zip(masters, _middles(sizes, page_size_mm(root)), strict=True):
        pose = Pose(middle, way.turn_degrees, way.mirrored, way.scale)
        clone = clone_of(root, around, symbols[master], master, pose)
        label = _free_label(master.number, taken)
        labels.append(label)
        clone.set("id", free_id(f"piece-{id_part(label)}", ids))
        clone.set(v.PIECE, label)
        clone.set(v.inkscape("label"), label)
        clone.set("style", f"fill:{_FILL};stroke:none")
        layer.append(clone)
    return tuple(labels)


def _size(master: Master, way: Way) -> tuple[float, float]:
    """Width and height in mm of a template as it is laid."""
    matrix = matrix_of(Pose((0.0, 0.0), way.turn_degrees, way.mirrored, way.scale), master)
    points = shapely.get_coordinates(master.outline.shape) @ matrix[:, :2].T
    width, height = np.ptp(points, axis=0)
    return float(width), float(height)


def _middles(
    sizes: Sequence[tuple[float, float]], page_mm: tuple[float, float]
) -> list[tuple[float, float]]:
    """The middles of things of some sizes, in rows as wide as the page, around its middle."""
    rows: list[list[int]] = []
    used = 0.0
    for k, (width, _) in enumerate(sizes):
        if not rows or used + width > page_mm[0]:
            rows.append([])
            used = 0.0
        rows[-1].append(k)
        used += width + _GAP_MM
    heights = [max(sizes[k][1] for k in row) for row in rows]
    top = page_mm[1] / 2 - (sum(heights) + _GAP_MM * (len(rows) - 1)) / 2
    middles = [(0.0, 0.0)] * len(sizes)
    for row, height in zip(rows, heights, strict=True):
        left = page_mm[0] / 2 - (sum(sizes[k][0] for k in row) + _GAP_MM * (len(row) - 1)) / 2
        for k in row:
            middles[k] = (left + sizes[k][0] / 2, top + height / 2)
            left += sizes[k][0] + _GAP_MM
        top += height + _GAP_MM
    return middles


def _open_layer(root: etree._Element) -> etree._Element:
    """The layer that is open in the editor, if pieces may go there; else the page."""
    view = root.find(v.sodipodi("namedview"))
    name = None if view is None else view.get(v.inkscape("current-layer"))
    for layer in root.iter(v.svg("g")):
        ours = any(around.get(v.ROLE) for around in (layer, *layer.iterancestors()))
        if name and layer.get("id") == name and not ours:
            return layer
    return root


def _free_label(number: str, taken: set[str]) -> str:
    label = number
    if label in taken:
        label = next(other for other in copies_of(number) if other not in taken)
    taken.add(label)
    return label
