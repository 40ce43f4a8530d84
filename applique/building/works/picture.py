"""How a block will look: its picture for the index, prints at their true scale."""

from __future__ import annotations

import io

from applique.building.asked import PictureAsked
from applique.building.task import Given, Made
from applique.building.works.swatched import prints_of
from applique.files import parse_svg
from applique.hooping import read_layered
from applique.model import Block, LaidPiece
from applique.pictures.block import block_picture
from applique.pictures.canvas import Area
from applique.pictures.scene import FabricShape, area_of
from applique.quilt.shadow import shadowing
from applique.svg.tagged import read_steps
from applique.threads.difference import lightness

_BACKGROUND = "#e9ecef"
"""The colour of a background of which nothing is known."""


def make(asked: PictureAsked, given: Given) -> Made:
    """The picture of the finished block; warns where a dark fabric will shadow through a light
    one."""
    root = parse_svg(io.BytesIO(given.files[asked.layers]), asked.layers).getroot()
    layered = read_layered(root)
    block, steps = layered.block, read_steps(root).steps
    prints, told = prints_of(asked.swatches)
    laid = [item for item in layered.laid if isinstance(item, LaidPiece)]
    fabrics = [
        FabricShape(item.piece.label, item.piece.colour, item.cut, prints.get(item.piece.fabric))
        for item in laid
    ]
    colours = {fabric.name: fabric.colour for fabric in block.fabrics}
    ground = colours.get(block.background, _BACKGROUND)
    ground_print = prints.get(block.background)
    picture = block_picture(
        ground, steps, fabrics, _area(block, layered.steps, fabrics), background_print=ground_print
    )
    seen = {name: it.colour for name, it in prints.items()}
    by_colour = {colours.get(name, ""): colour for name, colour in seen.items()}
    findings = shadowing(
        laid,
        (block.background, lightness(seen.get(block.background, ground))),
        lambda colour: lightness(by_colour.get(colour, colour)),
    )
    return Made({asked.picture: picture}, {}, (*told, *findings))


def _area(block: Block, steps, fabrics) -> Area:  # type: ignore[no-untyped-def]
    """The finished block; all there is where nobody has said how large that is."""
    frame = block.frame
    if frame is None:
        return area_of(steps, fabrics)
    return Area(frame.left, frame.top, frame.width, frame.height)
