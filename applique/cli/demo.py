"""`applique demo`: everything, made from one of the samples."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from applique.cli.cut import sheet_names
from applique.cli.layers import say_layers
from applique.cli.say import say, say_findings
from applique.cli.stitch import say_offset
from applique.export.cutfile import cut_file
from applique.export.formats import FORMATS
from applique.files import put_all_in_place, read_svg, svg_bytes
from applique.pipeline import make_layers, read_plan, read_sheets
from applique.resources import samples_folder

SAMPLE = "lighthouse"


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "demo",
        help="make everything from a sample block",
        description="Make layers, machine files and cut sheets from a block of the harbour quilt.",
        allow_abbrev=False,
    )
    parser.add_argument(
        "-o",
        "--output",
        metavar="DIR",
        type=Path,
        default=Path("applique-demo"),
        help="the folder for the results (default: applique-demo)",
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Make everything and print what was made."""
    from applique.export.machine import machine_file  # The format library is slow to load.

    source = samples_folder() / f"{SAMPLE}.svg"
    tree = read_svg(source)
    layers = make_layers(tree.getroot())
    say_findings(layers.findings)
    say_layers(layers)
    folder = arguments.output
    results = {folder / f"{SAMPLE}-layers.svg": svg_bytes(tree)}
    plan, _ = read_plan(tree.getroot())
    for suffix in FORMATS:
        results[folder / f"{SAMPLE}.{suffix}"] = machine_file(plan, suffix).data
    sheets, _ = read_sheets(tree.getroot(), "wrong")
    names = sheet_names(sheet.fabric for sheet in sheets)
    for name, sheet in zip(names, sheets, strict=True):
        results[folder / "cut" / name] = cut_file(sheet)
    put_all_in_place(results)
    for path in results:
        say(f"  {path}")
    say_offset(plan)
    say(
        "Open the layers in Inkscape to see every stitch. Before you sew: test on scraps, keep "
        "fingers away from the needle and blades, and follow your machine's own instructions."
    )
    return 0
