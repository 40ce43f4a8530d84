"""`applique hoop`: the fewest hoopings, lined up, each with its files."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from applique.cli.arguments import add_input
from applique.cli.commands import add_command
from applique.cli.hoop_arguments import add_fields, add_lining, add_results, add_wishes
from applique.cli.say import say_findings
from applique.errors import OutputError, UsageError
from applique.files import apart_from, put_all_in_place, read_svg
from applique.hoops.fields import read_fields
from applique.resources import hoop_fields_text


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "hoop",
        description="Share the pieces of a layered block out among as few hoopings as the sewing "
        "order allows, line each up with the others by crosses, and write for each a stitch file "
        "and a template to be printed at true size.",
    )
    add_input(parser, "LAYERED.svg")
    parser.add_argument("-o", "--output", metavar="DIR", type=Path, help="the folder for the files")
    add_fields(parser.add_argument_group("fields"))
    add_wishes(parser.add_argument_group("what is sewn where"))
    add_lining(parser.add_argument_group("hooping and lining up"))
    add_results(parser.add_argument_group("results"))
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Plan the hoopings and write them."""
    # The solver, the format library and the image library are slow to load.
    from applique.cli.hoop_files import leftovers_of
    from applique.cli.hoop_request import request_of
    from applique.cli.hoop_say import far, say_comparison, say_plan
    from applique.cli.watch import watched
    from applique.hooping import plan_hoopings, read_layered
    from applique.hoopsheets import files_of

    if not arguments.compare and arguments.output is None:
        raise UsageError("-o DIR is missing; give the folder for the files, or --compare")
    if not arguments.compare and not arguments.fields:
        raise UsageError(
            "--field WxH is missing; give at least one, as in --field 130x180, or --compare"
        )
    _check_results(arguments)
    usual = read_fields(hoop_fields_text())
    owned = tuple(dict.fromkeys(arguments.fields)) or usual
    request = request_of(arguments, owned)
    layered = read_layered(read_svg(arguments.input).getroot())
    if arguments.compare:
        say_comparison(layered, request, arguments.seconds)
        return 0
    with watched(arguments.seconds, far) as told:
        hoopings = plan_hoopings(layered, request, told)
    folder = arguments.output
    results = files_of(hoopings, layered, request, arguments.format, arguments.paper)
    put_all_in_place(
        {apart_from(folder / name, arguments.input): data for name, data in results.files.items()}
    )
    say_findings([*hoopings.findings, *results.findings, *leftovers_of(folder, results.files)])
    say_plan(hoopings.plan, request, results, folder)
    return 0


def _check_results(arguments: argparse.Namespace) -> None:
    """Raise before a long search what would stand in the way of writing after it."""
    from applique.paper.bars import check_paper

    try:
        check_paper(arguments.paper)
    except ValueError as problem:
        raise UsageError(f"--paper: {problem}") from None
    folder = arguments.output
    if folder is not None and folder.exists() and not folder.is_dir():
        raise OutputError(f"{folder}: is a file; give the name of a folder")
