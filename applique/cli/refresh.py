"""`applique refresh`: only the steps that no longer fit their pieces are made anew."""

from __future__ import annotations

import argparse
from typing import Any

from applique.cli.arguments import add_input, add_output
from applique.cli.commands import add_command
from applique.cli.layers import say_layers
from applique.cli.say import say, say_findings
from applique.files import put_in_place, read_svg, svg_bytes
from applique.standing import standing


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "refresh",
        description="Bring the layers of a block up to date with its drawing.",
    )
    add_input(parser, "LAYERED.svg")
    add_output(parser, "OUT.svg", "the layered block, up to date (may be the input)")
    parser.add_argument(
        "--replace-edited", action="store_true", help="make steps edited by hand anew as well"
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Refresh layers and write the result."""
    from applique.pipeline import refresh_layers  # All that makes layers is slow to load.

    was = standing(arguments.input)
    tree = read_svg(arguments.input)
    layers = refresh_layers(tree.getroot(), arguments.replace_edited)
    put_in_place(arguments.output, svg_bytes(tree), was)
    say_findings(layers.findings)
    if layers.made:
        say(f"remade: {', '.join(layers.made)}")
    say_layers(layers)
    return 0
