"""`applique doctor`: what is installed, what is missing, and how to mend it."""

from __future__ import annotations

import argparse
from typing import Any

from applique.cli.commands import add_command
from applique.cli.say import say


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "doctor",
        description="Look at this installation, its packages, Inkscape and the extensions in it. "
        "Nothing is changed. Ends with 0 if all is well.",
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Print a line for each thing, then what there is to do."""
    from applique.editor.health import examine

    lines = examine()
    width = max(len(line.name) for line in lines)
    for line in lines:
        say(f"{line.name:{width}}  {line.told}")
    todo = [line for line in lines if line.remedy]
    if not todo:
        say("all is well")
        return 0
    say("to do:")
    for line in todo:
        say(f"- {line.name}: {line.remedy}")
    return 1
