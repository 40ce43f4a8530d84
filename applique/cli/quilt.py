"""`applique quilt`: everything for every block of a quilt, again and again."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from applique.cli.arguments import add_output
from applique.errors import InputError, UsageError
from applique.export.formats import FORMATS
from applique.files import read_text


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "quilt",
        help="build a whole quilt from its project file",
        description="Build every block of a quilt: layers, proofs, hoopings with stitch files and "
        "templates, run sheets, stitch-out pages, cut sheets by fabric over all blocks, what to "
        "buy, and an index page. Only what has changed is made again.",
        allow_abbrev=False,
    )
    parser.add_argument("project", metavar="QUILT.toml", type=Path, help="the project file")
    add_output(parser, "DIR", "the folder for everything")
    parser.add_argument(
        "--block",
        metavar="NAME",
        action="append",
        dest="blocks",
        default=[],
        help="build this block alone; as often as needed",
    )
    parser.add_argument("--week", metavar="N", type=_week, help="build the blocks of this week")
    parser.add_argument(
        "--jobs",
        metavar="N",
        type=_jobs,
        help="do so many things at once (default: as many as there are processors, at most 8)",
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Build the quilt and sum up; returns 1 if anything could not be built."""
    # The reader, the workers and the progress bars take a while to load.
    from applique.building.build import build_quilt, chosen_blocks
    from applique.building.workers import usual_jobs
    from applique.cli.quilt_say import say_built
    from applique.cli.quilt_watch import watched_build
    from applique.hoops.fields import read_fields
    from applique.quilt.reading import read_project
    from applique.resources import hoop_fields_text

    path = arguments.project
    try:
        project = read_project(read_text(path), tuple(FORMATS), read_fields(hoop_fields_text()))
    except InputError as problem:
        text = str(problem)
        named = text if text.startswith(str(path)) else f"{path}: {text}"
        raise InputError(named, problem.findings) from None
    try:
        chosen = chosen_blocks(project, arguments.blocks, arguments.week)
    except InputError as problem:
        raise UsageError(str(problem)) from None
    jobs = arguments.jobs or usual_jobs()
    with watched_build() as watcher:
        built = build_quilt(project, path.parent, arguments.output, chosen, jobs, watcher)
    say_built(project, built, arguments.output)
    return 0 if built.is_whole else 1


def _week(text: str) -> int:
    if not (text.isdecimal() and int(text) > 0):
        raise argparse.ArgumentTypeError(f"'{text}' is no week; give its number, as in --week 3")
    return int(text)


def _jobs(text: str) -> int:
    if not (text.isdecimal() and 1 <= int(text) <= 256):
        raise argparse.ArgumentTypeError(f"'{text}' is no number of jobs from 1 to 256")
    return int(text)
