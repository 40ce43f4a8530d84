"""Small libraries and drawings for the tests, made in one line."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from lxml import etree
from shapely import MultiPolygon, affinity

from applique.geometry.rings import rings_of
from applique.library.adding import add_templates
from applique.library.pieces import NewTemplate
from applique.library.shelf import Library, new_library, read_library
from applique.model import Outline
from tests import shapes

BOAT = shapes.polygon([(0, 30), (40, 30), (32, 42), (8, 42)])
SAIL = shapes.polygon([(0, 0), (26, 34), (0, 34)])
SUN = shapes.circle(12)
BELT = shapes.ring(18, 9)


def template(number: str, shape: MultiPolygon, page: str = "page 1") -> NewTemplate:
    return NewTemplate(number, Outline(shape), page)


def library(shapes_by_number: Mapping[str, MultiPolygon], prefix: str = "HB") -> Library:
    """A library of some shapes, written and read again."""
    made = new_library("Harbour")
    add_templates(made, [template(k, shape) for k, shape in shapes_by_number.items()], prefix)
    return again(made)


def again(made: Library) -> Library:
    """A library as the next command would read it."""
    return read_library(etree.fromstring(etree.tostring(made.root)))


def harbour() -> Library:
    return library({"1": BOAT, "2": SAIL, "3": SUN})


def retraced(shape: MultiPolygon, sway_mm: float = 0.12) -> MultiPolygon:
    """A shape as a hand traces it once more: it sways slowly along every ring."""
    rings = []
    for ring in rings_of(shape):
        ring = np.vstack([ring, ring[:1]])
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])
        places = np.linspace(0, along[-1], 400, endpoint=False)
        points = np.stack([np.interp(places, along, ring[:, k]) for k in (0, 1)], axis=1)
        wave = 2 * np.pi * places / along[-1]
        sway = sway_mm * np.stack([np.sin(3 * wave + 1), np.cos(5 * wave)], axis=1) / np.sqrt(2)
        rings.append(points + sway)
    return shapes.polygon(rings[0]) if len(rings) == 1 else _with_holes(rings)


def _with_holes(rings: list[np.ndarray]) -> MultiPolygon:
    whole = shapes.polygon(rings[0])
    for hole in rings[1:]:
        whole = MultiPolygon([whole.difference(shapes.polygon(hole))])
    return whole


def turned(shape: MultiPolygon, degrees: float, mirrored: bool = False) -> MultiPolygon:
    """A shape mirrored left to right, then turned clockwise as seen with y down."""
    if mirrored:
        shape = affinity.scale(shape, -1, 1, origin=(0, 0))
    return affinity.rotate(shape, degrees, origin=(0, 0))


PIECES = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
    'width="100mm" height="100mm" viewBox="0 0 100 100">'
    '<g inkscape:groupmode="layer" inkscape:label="harbour.jpg">'
    '<g inkscape:groupmode="layer" inkscape:label="outlines">'
    '<path ap:piece="20" d="M10,40 L50,40 L42,52 L18,52 Z" style="fill:none;stroke:#000"/>'
    '<path ap:piece="21" d="M60,10 C70,20 80,30 80,44 L60,44 Z" style="fill:none;stroke:#000"/>'
    "</g></g></svg>"
)
"""Two traced outlines, as `applique trace` writes them."""
