"""`applique quilt`: everything for every block of a quilt, again and again."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.commands import add_command
from applique.cli.say import say, say_error
from applique.errors import InputError, UsageError
from applique.export.formats import FORMATS
from applique.files import put_in_place, read_text

if TYPE_CHECKING:
    from applique.quilt.project import Project


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "quilt",
        description="Build every block of a quilt: layers, proofs, hoopings with stitch files and "
        "templates, run sheets, stitch-out pages, cut sheets by fabric over all blocks, what to "
        "buy, and an index page. Only what has changed is made again.",
    )
    parser.add_argument(
        "project", metavar="QUILT.toml", nargs="?", type=Path, help="the project file"
    )
    parser.add_argument(
        "-o", "--output", metavar="DIR", type=Path, help="the folder for everything"
    )
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
    parser.add_argument(
        "--write-schema",
        metavar="FILE.json",
        dest="schema",
        type=Path,
        help="build nothing; write the schema by which an editor completes and checks QUILT.toml",
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Build the quilt and sum up; returns 1 if anything could not be built."""
    project, output = arguments.project, arguments.output
    if arguments.schema is not None:
        if project is not None or output is not None:
            raise UsageError("--write-schema: builds nothing; leave QUILT.toml and -o out")
        _write_schema(arguments.schema)
        return 0
    if project is None or output is None:
        raise UsageError("QUILT.toml or -o DIR is missing; write applique quilt quilt.toml -o DIR")
    try:
        is_whole = build(project, output, arguments.blocks, arguments.week, arguments.jobs)
    except KeyboardInterrupt:
        say_error("stopped; what was built stays, and the next run goes on from there")
        return 130
    return 0 if is_whole else 1


def build(
    path: Path,
    into: Path,
    blocks: Sequence[str] = (),
    week: int | None = None,
    jobs: int | None = None,
) -> bool:
    """Build a project's blocks, or those that are named or of a week, and sum up; returns whether
    nothing failed. Without a number of jobs, as many as usual are done at once. Raises InputError
    for a project that can't be read, UsageError for blocks that it has not."""
    # The reader, the workers and the progress bars take a while to load.
    from applique.building.build import build_quilt, chosen_blocks
    from applique.building.workers import usual_jobs
    from applique.cli.quilt_say import say_built
    from applique.cli.quilt_watch import watched_build

    project = _read(path)
    try:
        chosen = chosen_blocks(project, blocks, week)
    except InputError as problem:
        raise UsageError(str(problem)) from None
    with watched_build() as watcher:
        built = build_quilt(project, path.parent, into, chosen, jobs or usual_jobs(), watcher)
    say_built(project, built, into)
    return built.is_whole


def _read(path: Path) -> Project:
    from applique.hoops.fields import read_fields
    from applique.quilt.reading import read_project
    from applique.resources import hoop_fields_text

    text = read_text(path)
    try:
        return read_project(text, tuple(FORMATS), read_fields(hoop_fields_text()))
    except InputError as problem:
        said = str(problem).removeprefix("quilt.toml ")  # It may have another name.
        raise InputError(f"{path}: {said}", problem.findings) from None


def _write_schema(path: Path) -> None:
    from applique.quilt.schema import schema_text

    if path.suffix.lower() != ".json":
        raise UsageError(f"{path}: the schema is written as .json; give it that ending")
    put_in_place(path, schema_text(tuple(FORMATS)).encode())
    say(f'{path}: begin quilt.toml with the line "#:schema {path.name}"')


def _week(text: str) -> int:
    if not (text.isdecimal() and int(text) > 0):
        raise argparse.ArgumentTypeError(f"'{text}' is no week; give its number, as in --week 3")
    return int(text)


def _jobs(text: str) -> int:
    if not (text.isdecimal() and 1 <= int(text) <= 256):
        raise argparse.ArgumentTypeError(f"'{text}' is no number of jobs; give 1 to 256")
    return int(text)
