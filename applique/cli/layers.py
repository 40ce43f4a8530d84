"""`applique layers`: closed paths become sewing and cutting layers."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import (
    add_input,
    add_output,
    add_setting_flags,
    ids,
    settings_from,
    size,
)
from applique.cli.commands import add_command
from applique.cli.say import say, say_findings
from applique.files import put_in_place, read_svg, svg_bytes
from applique.report import counted
from applique.standing import standing

if TYPE_CHECKING:
    from applique.pipeline import Layers


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "layers",
        usage="applique layers BLOCK.svg -o OUT.svg [--select ID,ID] [--finished WxH] "
        "[--replace-edited] [--SETTING VALUE ...]",
        description="Make the sewing and cutting layers of a block.",
    )
    add_input(parser, "BLOCK.svg")
    add_output(parser, "OUT.svg", "the layered block")
    parser.add_argument(
        "--select",
        metavar="ID,ID",
        type=ids,
        default=(),
        help="take only the elements with these ids (default: all tagged pieces, else all shapes)",
    )
    parser.add_argument(
        "--finished",
        metavar="WxH",
        type=size,
        help="finished size of the block in mm, centred on the page",
    )
    parser.add_argument(
        "--replace-edited", action="store_true", help="make steps edited by hand anew as well"
    )
    add_setting_flags(parser)
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Make layers and write the result."""
    # All that makes layers is slow to load.
    from applique.pipeline import make_layers
    from applique.svg.read import Request

    was = standing(arguments.input)
    tree = read_svg(arguments.input)
    request = Request(arguments.select, settings_from(arguments), arguments.finished)
    layers = make_layers(tree.getroot(), request, arguments.replace_edited)
    put_in_place(arguments.output, svg_bytes(tree), was)
    say_findings(layers.findings)
    say_layers(layers)
    return 0


def say_layers(layers: Layers) -> None:
    """Sum up what was made."""
    stitches = sum(len(path) for step in layers.steps for path in step.paths)
    say(
        f"made {counted(len(layers.made), 'piece', 'pieces')}; the block now has "
        f"{counted(stitches, 'stitch', 'stitches')} in "
        f"{counted(layers.blocks, 'colour block', 'colour blocks')}"
    )
    if layers.bound is not None:
        say(f"colour blocks: {layers.blocks} found, at least {layers.bound} needed")
