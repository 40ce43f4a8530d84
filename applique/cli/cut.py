"""`applique cut`: the cutting layer as one sheet a fabric."""

from __future__ import annotations

import argparse
from typing import Any

from applique.cli.arguments import add_input, add_output
from applique.cli.names import plain_names
from applique.cli.say import say, say_findings
from applique.export.cutfile import cut_file
from applique.files import put_all_in_place, read_svg
from applique.pipeline import read_sheets
from applique.report import counted


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "cut",
        help="write the cut lines, one sheet a fabric",
        description="Write the cut lines of a layered block as SVG at true size, one file a "
        "fabric.",
        allow_abbrev=False,
    )
    add_input(parser, "LAYERED.svg")
    add_output(parser, "DIR", "the folder for the sheets")
    parser.add_argument(
        "--face",
        choices=("right", "wrong"),
        default="wrong",
        help="which side of the fabric lies up; wrong, for fusible web with the paper up, is "
        "mirrored (default: wrong)",
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Write the sheets."""
    sheets, findings = read_sheets(read_svg(arguments.input).getroot(), arguments.face)
    names = [f"{name}.svg" for name in plain_names([s.fabric for s in sheets], "fabric")]
    results = {
        arguments.output / name: cut_file(sheet) for name, sheet in zip(names, sheets, strict=True)
    }
    put_all_in_place(results)
    say_findings(findings)
    for name, sheet in zip(names, sheets, strict=True):
        pieces = counted(len(sheet.cuts), "piece", "pieces")
        say(f"{arguments.output / name}: {sheet.fabric}, {pieces}, {sheet.face} side up")
    return 0
