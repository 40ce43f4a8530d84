"""The `applique` command."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from applique import __version__
from applique.cli import (
    card,
    check,
    compose,
    cut,
    demo,
    editor,
    importing,
    layers,
    library,
    proof,
    refresh,
    stitch,
    trace,
)
from applique.cli.say import say_error, say_findings
from applique.errors import AppliqueError, InputError

COMMANDS = (
    trace,
    importing,
    library,
    compose,
    layers,
    refresh,
    stitch,
    cut,
    check,
    proof,
    card,
    demo,
    editor,
)
"""Each has `add_parser(subparsers)`, which sets `run`, the function that does the work."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; returns 0 if it was done, 1 if the document or a file did not allow it, 2 if
    the command's own words are wrong."""
    arguments = command_parser().parse_args(argv)
    try:
        return int(arguments.run(arguments))
    except InputError as problem:
        say_findings(problem.findings)
        say_error(str(problem))
        return problem.exit_code
    except AppliqueError as problem:
        say_error(str(problem))
        return problem.exit_code
    except KeyboardInterrupt:
        say_error("stopped; nothing was written")
        return 130


def command_parser() -> argparse.ArgumentParser:
    """The whole command line: every command with its flags."""
    parser = argparse.ArgumentParser(
        prog="applique",
        description="Closed paths become applique layers, machine files and cut lines.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"applique {__version__}")
    subparsers = parser.add_subparsers(metavar="COMMAND", required=True)
    for command in COMMANDS:
        command.add_parser(subparsers)
    return parser


if __name__ == "__main__":
    sys.exit(main())
