"""The commands and what each is for, told without loading any of them."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import Any, NamedTuple


class Command(NamedTuple):
    """`file` is the module here with the command's `add_parser(subparsers)`, which sets `run`, the
    function that does the work; `help` is its line in the list of commands."""

    file: str
    help: str


COMMANDS: Mapping[str, Command] = {
    "trace": Command(
        "trace", "numbered outlines from scanned or photographed pages of traced templates"
    ),
    "library": Command("library", "keep templates, and look them up"),
    "compose": Command("compose", "make a block from a layout and a library"),
    "import": Command("importing", "make a block of any layered coloured artwork"),
    "layers": Command("layers", "make stitch and cut layers from closed paths"),
    "refresh": Command("refresh", "make only the stale layers anew"),
    "stitch": Command("stitch", "write a machine file"),
    "inspect": Command("inspect", "tell what a machine file holds"),
    "compare": Command("compare", "tell whether two machine files sew the same"),
    "hoop": Command(
        "hoop",
        "plan the fewest hoopings of a block, each with its stitch file and printed template",
    ),
    "cut": Command(
        "cut", "nest the cut lines of blocks on sheets, by fabric, for a cutter or scissors"
    ),
    "quilt": Command("quilt", "build a whole quilt from its project file"),
    "check": Command("check", "look a block over before sewing it"),
    "proof": Command("proof", "tell what the stitches will do"),
    "card": Command(
        "card", "write the block card: picture, table of pieces, laying pages at true size"
    ),
    "run-sheet": Command(
        "run_sheet", "write the run sheet: every stop of the machine, with what is done at it"
    ),
    "stitch-out": Command("stitch_out", "write a page that plays the sewing, stitch by stitch"),
    "demo": Command("demo", "make everything from the samples"),
    "editor": Command("editor", "install the extensions into Inkscape"),
    "doctor": Command("doctor", "tell what is installed, what is missing, and how to mend it"),
}
"""By name, in the order in which a block comes to be."""


def add_command(
    subparsers: Any, name: str, description: str, usage: str | None = None
) -> argparse.ArgumentParser:
    """A command's parser under the overall one, its help line from the table."""
    parser: argparse.ArgumentParser = subparsers.add_parser(
        name,
        help=COMMANDS[name].help,
        description=description,
        usage=usage,
        allow_abbrev=False,
    )
    return parser
