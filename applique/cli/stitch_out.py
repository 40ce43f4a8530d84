"""`applique stitch-out`: a page that plays the sewing, stitch by stitch."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import add_output, stem_of
from applique.cli.commands import add_command
from applique.cli.hoop_arguments import add_fields
from applique.cli.say import say, say_findings
from applique.errors import UsageError
from applique.export.formats import FORMATS
from applique.files import apart_from, put_in_place, read_picture, read_svg
from applique.report import Finding, counted

if TYPE_CHECKING:
    from applique.pages.stitchout_content import StitchOut


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "stitch-out",
        description="Write a page for the browser, whole in one file, that plays how a layered "
        "block or a machine file is sewn: every stitch, every stop, and the fabrics as they are "
        "laid. A layered block is exported and read back first, so that what is played is what a "
        "machine gets.",
    )
    parser.add_argument(
        "input",
        metavar="LAYERED.svg|FILE.EXT",
        type=Path,
        help="a layered block, or a machine file",
    )
    add_output(parser, "PAGE.html", "the page")
    parser.add_argument(
        "--format",
        choices=tuple(FORMATS),
        default="dst",
        help="the machine format that a layered block is exported in and played from (default: "
        "dst)",
    )
    add_fields(
        parser.add_argument_group("hoopings, of a layered block: as `applique hoop` has them")
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Write the page."""
    from applique.pages.stitchout import stitch_out_page

    if arguments.output.suffix.lower() not in (".html", ".htm"):
        raise UsageError(f"{arguments.output}: the page is written as .html; give it that ending")
    apart_from(arguments.output, arguments.input)
    if arguments.input.suffix.lower() == ".svg":
        content, findings = _of_layers(arguments)
    else:
        content, findings = _of_file(arguments)
    page = stitch_out_page(content)
    put_in_place(arguments.output, page)
    say_findings(findings)
    stitches = counted(content.stitch_count, "stitch", "stitches")
    size = counted(max(1, round(len(page) / 1000)), "kilobyte", "kilobytes")
    say(f"{arguments.output}: {stitches}, {size}; open it in a browser")
    return 0


def _of_file(arguments: argparse.Namespace) -> tuple[StitchOut, Sequence[Finding]]:
    """A machine file by itself."""
    from applique.export.reading import read_machine  # The format library is slow to load.
    from applique.stitchouts import stitch_out_of_file

    path = arguments.input
    if arguments.fields:
        raise UsageError(f"{path}: a machine file is played as it is; leave --field out")
    reading = read_machine(read_picture(path), path.suffix.lower().lstrip("."))
    return stitch_out_of_file(reading, reading.design_name or stem_of(path)), reading.findings


def _of_layers(arguments: argparse.Namespace) -> tuple[StitchOut, Sequence[Finding]]:
    """A layered block through its file, or through those of its hoopings."""
    from applique.hoops.request import HoopRequest
    from applique.stitchouts import stitch_out_of_block, stitch_out_of_hoopings

    root = read_svg(arguments.input).getroot()
    if not arguments.fields:
        return stitch_out_of_block(root, arguments.format)
    try:
        fields = tuple(dict.fromkeys(arguments.fields))
        request = HoopRequest(fields, turn=arguments.turn, margin_mm=arguments.margin)
    except ValueError as problem:
        raise UsageError(str(problem)) from None
    return stitch_out_of_hoopings(root, request, arguments.format)
