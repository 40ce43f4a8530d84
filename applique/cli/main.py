"""The `applique` command."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module

from applique import __version__
from applique.cli.say import say_error, say_findings
from applique.errors import AppliqueError, InputError

COMMANDS = {
    "trace": "trace",
    "library": "library",
    "compose": "compose",
    "import": "importing",
    "layers": "layers",
    "refresh": "refresh",
    "stitch": "stitch",
    "inspect": "inspect",
    "compare": "compare",
    "hoop": "hoop",
    "cut": "cut",
    "quilt": "quilt",
    "check": "check",
    "proof": "proof",
    "card": "card",
    "run-sheet": "run_sheet",
    "stitch-out": "stitch_out",
    "demo": "demo",
    "editor": "editor",
}
"""The commands, each with the file here that has its `add_parser(subparsers)`, which sets `run`,
the function that does the work. Only the file of the command that is asked for is loaded: all of
them take a quarter of a second."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; returns 0 if it was done, 1 if the document or a file did not allow it, 2 if
    the command's own words are wrong."""
    words = sys.argv[1:] if argv is None else list(argv)
    arguments = command_parser(words[0] if words else "").parse_args(words)
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


def command_parser(asked: str = "") -> argparse.ArgumentParser:
    """The command line: the command that is asked for with its flags, or else every command."""
    parser = argparse.ArgumentParser(
        prog="applique",
        description="Closed paths become applique layers, machine files and cut lines.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"applique {__version__}")
    subparsers = parser.add_subparsers(metavar="COMMAND", required=True)
    wanted = [asked] if asked in COMMANDS else COMMANDS
    for name in wanted:
        import_module(f"applique.cli.{COMMANDS[name]}").add_parser(subparsers)
    return parser


if __name__ == "__main__":
    sys.exit(main())
