"""`applique inspect`: what a machine file holds, before it is sewn."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.commands import add_command
from applique.cli.machine_input import read_machine_file
from applique.cli.proof import png_path
from applique.cli.say import say, say_findings, say_json
from applique.cli.table import aligned
from applique.errors import InputError
from applique.files import apart_from, put_in_place
from applique.hoops.fields import read_fields
from applique.report import counted, error
from applique.resources import hoop_fields_text

if TYPE_CHECKING:
    from applique.export.inspecting import FileFigures

_LEFT_COLUMNS = 3


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "inspect",
        description="Tell what a machine file holds: its size, stitches, stops and colours, the "
        "thread and time it takes, and which usual hoop fields it fits. The format is told by the "
        "file's suffix; files of many machines can be read.",
    )
    parser.add_argument("input", metavar="FILE.EXT", type=Path, help="the machine file")
    parser.add_argument("--json", action="store_true", help="print every figure as JSON")
    parser.add_argument(
        "--picture",
        metavar="OUT.png",
        type=png_path,
        help="write a picture of the stitches, with thread at its true width",
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Look into a machine file."""
    from applique.export.inspecting import inspect_file

    try:
        reading = read_machine_file(arguments.input)
    except InputError as problem:
        if not arguments.json:
            raise
        say_json((error("unreadable", "", str(problem)),))
        return problem.exit_code
    figures = inspect_file(reading, read_fields(hoop_fields_text()))
    if arguments.picture is not None:
        from applique.pictures.filed import filed_picture

        picture = filed_picture(reading.plan.blocks)
        put_in_place(apart_from(arguments.picture, arguments.input), picture)
    if arguments.json:
        say_json(reading.findings, figures.as_dict())
        return 0
    for line in _told(figures):
        say(line)
    if arguments.picture is not None:
        say(f"{arguments.picture}: the picture")
    name = str(arguments.input)
    say_findings(replace(finding, object=name) for finding in reading.findings)
    return 0


def _told(figures: FileFigures) -> list[str]:
    name = f" '{figures.design_name}'" if figures.design_name else ""
    jumps = "" if figures.jumps is None else f", {counted(figures.jumps, 'jump', 'jumps')}"
    return [
        f"{figures.title}{name}",
        *_size_told(figures),
        f"{counted(figures.stitches, 'stitch', 'stitches')}, "
        f"{counted(figures.stops, 'stop', 'stops')}, "
        f"{counted(figures.time.trims, 'trim', 'trims')} with those at stops and at the end{jumps}",
        *_lengths_told(figures),
        "",
        *_blocks_told(figures),
        "",
        *_thread_told(figures),
        f"time: {figures.time.machine_minutes:.0f} minutes of the machine; laying, trimming and "
        "threading come on top",
        _fields_told(figures),
    ]


def _size_told(figures: FileFigures) -> list[str]:
    from applique.export.inspecting import inches
    from applique.sequence.centre import way_told

    extents = figures.extents
    width, height = extents.width_mm, extents.height_mm
    told = [
        f"size: {width:.1f} x {height:.1f} mm ({inches(width)} x {inches(height)} in)",
        f"from the origin: {extents.left_mm:.1f} mm left, {extents.right_mm:.1f} right, "
        f"{extents.up_mm:.1f} up, {extents.down_mm:.1f} down",
    ]
    if figures.off_centre_mm is not None:
        right, down = figures.off_centre_mm
        told.append(
            f"the middle of the stitches lies {way_told(right, down)} the origin; a machine that "
            "centres on the stitches needs this offset"
        )
    return told


def _lengths_told(figures: FileFigures) -> list[str]:
    lengths = figures.lengths
    if lengths is None:
        return []
    return [
        f"stitch length: {lengths.shortest_mm:.1f} to {lengths.longest_mm:.1f} mm, "
        f"half of them under {lengths.median_mm:.1f} mm"
    ]


def _blocks_told(figures: FileFigures) -> list[str]:
    rows = [("block", "colour", "name", "stitches")]
    for number, block in enumerate(figures.blocks, start=1):
        thread = block.thread
        rows.append((str(number), thread.colour, thread.name, str(block.stitches)))
    return aligned(rows, _LEFT_COLUMNS)


def _thread_told(figures: FileFigures) -> list[str]:
    needle, bobbin = figures.thread.needle_mm / 1000, figures.thread.bobbin_mm / 1000
    tails = figures.tails
    return [
        f"thread: {needle:.1f} m of needle thread and {bobbin:.1f} m of bobbin thread, tails "
        f"({tails.needle_mm / 1000:.1f} and {tails.bobbin_mm / 1000:.1f} m) aside; have 10 to 15 % "
        "more of each"
    ]


def _fields_told(figures: FileFigures) -> str:
    if not figures.fields:
        return "hoop fields: fits none of the usual ones"
    smallest, *others = figures.fields
    told = f"hoop fields: fits {smallest.field.told}{_turned(smallest.turned)}"
    if others:
        names = ", ".join(fit.field.name + _turned(fit.turned) for fit in others)
        told += f"; also {names}"
    return told


def _turned(turned: bool) -> str:
    return " turned by a quarter" if turned else ""
