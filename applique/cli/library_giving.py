"""The actions of `applique library` that hand templates on: update, install."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from applique.cli.arguments import add_input, add_output
from applique.cli.library_files import open_library
from applique.cli.library_views import add_library
from applique.cli.say import say, say_findings
from applique.files import put_in_place, read_svg, svg_bytes
from applique.standing import standing
from applique.svg.vocabulary import ROLE


def add_update(actions: Any) -> None:
    """Add `library update`."""
    parser = actions.add_parser(
        "update",
        help="let a block take the newest versions of its templates",
        description="Let the pieces of a block take the newest versions of their templates, each "
        "in its place.",
        allow_abbrev=False,
    )
    add_input(parser, "BLOCK.svg")
    parser.add_argument(
        "--from", dest="library", metavar="SET.svg", type=Path, required=True, help="the library"
    )
    add_output(parser, "OUT.svg", "the block with the newest versions")
    parser.set_defaults(run=_run_update)


def _run_update(arguments: argparse.Namespace) -> int:
    from applique.library.updating import update_block  # Geometry is slow to load.

    was = standing(arguments.input)
    tree = read_svg(arguments.input)
    updated = update_block(tree.getroot(), open_library(arguments.library))
    put_in_place(arguments.output, svg_bytes(tree), was)
    say_findings(updated.findings)
    for name, old, new in updated.changed:
        say(f"{name}: version {old} became version {new}")
    if not updated.changed:
        say("nothing was updated")
    elif any(child.get(ROLE) is not None for child in tree.getroot()):
        say("its stitches are those of the old outlines; use 'applique refresh'")
    strangers = any(finding.code in ("not-there", "other-outline") for finding in updated.findings)
    return 1 if strangers else 0


def add_install(actions: Any) -> None:
    """Add `library install`."""
    parser = actions.add_parser(
        "install",
        help="show a library in the editor's Symbols dialog",
        description="Copy a library to where Inkscape's Symbols dialog finds it, after a new "
        "start.",
        allow_abbrev=False,
    )
    add_library(parser)
    parser.set_defaults(run=_run_install)


def _run_install(arguments: argparse.Namespace) -> int:
    from applique.editor.install import install_symbols

    library = open_library(arguments.library)
    path = install_symbols(arguments.library.name, arguments.library.read_bytes())
    say_findings(library.findings)
    name = library.title or arguments.library.stem
    say(f"copied to {path}; start Inkscape anew and look for '{name}' among the symbols")
    return 0
