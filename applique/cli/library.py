"""`applique library`: templates traced once and kept for every block."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from applique.cli import library_giving, library_views
from applique.cli.arguments import printable, stem_of
from applique.cli.commands import add_command
from applique.cli.library_files import known_uses, open_library, save_library, uses_of
from applique.cli.say import say, say_findings
from applique.errors import InputError, UsageError
from applique.files import read_svg
from applique.report import Finding, counted
from applique.standing import standing


def add_parser(subparsers: Any) -> None:
    """Add the command and those under it."""
    parser = add_command(
        subparsers,
        "library",
        description="Keep templates as the symbols of one SVG file: trace once, use for years.",
    )
    actions = parser.add_subparsers(metavar="ACTION", required=True)
    _add_add(actions)
    library_views.add_list(actions)
    library_views.add_show(actions)
    _add_rename(actions)
    _add_remove(actions)
    _add_merge(actions)
    library_views.add_check(actions)
    library_views.add_sheet(actions)
    library_giving.add_update(actions)
    library_giving.add_install(actions)


def _action(actions: Any, name: str, help: str, description: str) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = actions.add_parser(
        name, help=help, description=description, allow_abbrev=False
    )
    return parser


def _add_add(actions: Any) -> None:
    parser = _action(
        actions,
        "add",
        "put the outlines of a drawing into a library",
        "Put all outlines of a drawing into a library. A known template traced again becomes a new "
        "version, and the old one is kept; another outline under a known number is refused.",
    )
    parser.add_argument("pieces", metavar="PIECES.svg", type=Path, help="traced or drawn outlines")
    parser.add_argument(
        "--to", metavar="SET.svg", type=Path, required=True, help="the library; made if it is new"
    )
    parser.add_argument(
        "--prefix",
        metavar="HB",
        type=_name,
        help="letters of the set, put before every number (default: none)",
    )
    parser.add_argument(
        "--title", metavar="NAME", type=printable, help="the set's name, for a new library"
    )
    parser.add_argument(
        "--force",
        action="store_true",
        help="take another outline under a known number for a new version",
    )
    parser.add_argument(
        "--recognise",
        action="store_true",
        help="take only outlines that the set has already, under their numbers there",
    )
    parser.set_defaults(run=_run_add)


def _run_add(arguments: argparse.Namespace) -> int:
    # Geometry is slow to load.
    from applique.library.adding import add_templates, recognised
    from applique.library.pieces import templates_in
    from applique.library.shelf import new_library

    path = arguments.to
    was = standing(path)
    library = open_library(path) if path.exists() else new_library(arguments.title or stem_of(path))
    if path.exists() and arguments.title is not None:
        raise UsageError(f"{path}: has its name already; --title names a new library")
    templates, findings = templates_in(
        read_svg(arguments.pieces).getroot(), stem_of(arguments.pieces)
    )
    prefix = arguments.prefix or ""
    told: tuple[Finding, ...] = ()
    if arguments.recognise:
        templates, told = recognised(library, templates, prefix)
    added = add_templates(library, templates, prefix, arguments.force)
    if added.new or added.versions:
        save_library(library, was)
    say_findings([*library.findings, *findings, *told, *added.findings])
    for name in added.versions:
        say(f"{name}: a new version; the old one is kept")
    say(
        f"{path}: {counted(len(added.new), 'new template', 'new templates')}, "
        f"{counted(len(added.versions), 'new version', 'new versions')}, "
        f"{len(added.unchanged)} there already"
    )
    return 0


def _add_rename(actions: Any) -> None:
    parser = _action(
        actions,
        "rename",
        "give a template another number",
        "Give a template, with all its versions, another number. Blocks keep the name that they "
        "were made with.",
    )
    library_views.add_template(parser)
    parser.add_argument(
        "--to", metavar="NUMBER", type=_name, required=True, help="the new number, without prefix"
    )
    library_views.add_blocks(parser)
    parser.set_defaults(run=_run_rename)


def _run_rename(arguments: argparse.Namespace) -> int:
    from applique.library.changing import rename_template

    was = standing(arguments.library)
    library = open_library(arguments.library)
    entry = library.named(arguments.template)
    old, known = entry.name, known_uses(arguments.library, library, arguments.blocks)
    uses = uses_of(entry, known)
    name = rename_template(library, arguments.template, arguments.to)
    save_library(library, was)
    say_findings(library.findings)
    say(f"{old} is {name} now")
    if uses:
        say(f"these blocks still call it {old}: {', '.join(block for block, _ in uses)}")
    return 0


def _add_remove(actions: Any) -> None:
    parser = _action(
        actions,
        "remove",
        "take a template out of a library",
        "Take a template, with all its versions, out of a library. Refused while a known block "
        "uses it.",
    )
    library_views.add_template(parser)
    library_views.add_blocks(parser)
    parser.add_argument("--force", action="store_true", help="remove it though a block uses it")
    parser.set_defaults(run=_run_remove)


def _run_remove(arguments: argparse.Namespace) -> int:
    from applique.library.changing import remove_template

    was = standing(arguments.library)
    library = open_library(arguments.library)
    entry = library.named(arguments.template)
    uses = uses_of(entry, known_uses(arguments.library, library, arguments.blocks))
    name = entry.name
    if uses and not arguments.force:
        blocks = ", ".join(block for block, _ in uses)
        raise InputError(f"{name}: is used by {blocks}; --force removes it all the same")
    remove_template(library, arguments.template)
    save_library(library, was)
    say_findings(library.findings)
    say(f"removed {name}{'; blocks that use it keep their own copy of it' if uses else ''}")
    return 0


def _add_merge(actions: Any) -> None:
    parser = _action(
        actions,
        "merge",
        "put one library into another",
        "Put all templates of one library into another. One with another outline under the same "
        "name is a conflict: it is told and stays out.",
    )
    parser.add_argument("other", metavar="OTHER.svg", type=Path, help="the library to take from")
    parser.add_argument(
        "--into", metavar="SET.svg", type=Path, required=True, help="the library to put into"
    )
    parser.set_defaults(run=_run_merge)


def _run_merge(arguments: argparse.Namespace) -> int:
    from applique.library.merging import merge_library

    was = standing(arguments.into)
    library = open_library(arguments.into)
    merged = merge_library(library, open_library(arguments.other))
    if merged.added:
        save_library(library, was)
    say_findings([*library.findings, *merged.findings])
    conflicts = sum(finding.code == "conflict" for finding in merged.findings)
    say(
        f"{arguments.into}: {counted(len(merged.added), 'template', 'templates')} came in, "
        f"{merged.unchanged} there already, {counted(conflicts, 'conflict', 'conflicts')}"
    )
    return 1 if conflicts else 0


def _name(text: str) -> str:
    from applique.library.changing import checked_name

    try:
        return checked_name(text)
    except InputError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from None
