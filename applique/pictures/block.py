"""A block as it will look, without words or margins: for the pages that show it small."""

from __future__ import annotations

from collections.abc import Sequence

from PIL import Image

from applique.model import Step
from applique.pictures.canvas import Area
from applique.pictures.png import png_bytes
from applique.pictures.scene import FabricShape, Scene
from applique.pictures.stitched import drawn
from applique.pictures.swatches import FabricPrint

BLOCK_PX = 720
"""Longer side of a block's picture: sharp on a page a third of a desktop wide, or a phone's whole
width at twice its resolution."""


def block_picture(
    background: str,
    steps: Sequence[Step],
    fabrics: Sequence[FabricShape],
    area: Area,
    long_side_px: int = BLOCK_PX,
    background_print: FabricPrint | None = None,
) -> bytes:
    """A PNG of what lies within an area of the page (mm): the finished block, if its frame is
    given. `background` is #rrggbb, `fabrics` are in stacking order; thread has its true width and
    prints their true scale."""
    scene = Scene(background, steps, fabrics, background_print)
    return png_bytes(drawn(scene, area, long_side_px).finished())


def print_picture(fabric_print: FabricPrint) -> bytes:
    """A PNG of a fabric's print as pictures show it: upright, and in a format that every browser
    reads, whatever the photograph was."""
    return png_bytes(Image.fromarray(fabric_print.pixels))
