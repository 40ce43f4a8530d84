"""`applique check`: everything about a block that is worth a second look."""

from __future__ import annotations

import argparse
from typing import Any

from applique.cli.arguments import add_input
from applique.cli.commands import add_command
from applique.cli.say import say, say_findings, say_json
from applique.errors import InputError
from applique.files import read_svg
from applique.report import counted, error, errors_in


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "check",
        description="Check a block's drawing, its pieces and its stitches. Ends with 1 if there is "
        "an error.",
    )
    add_input(parser, "BLOCK.svg")
    parser.add_argument("--json", action="store_true", help="print the findings as JSON")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Check a document."""
    from applique.checks import check_document  # The stitches' inspectors are slow to load.

    try:
        findings = check_document(read_svg(arguments.input).getroot())
    except InputError as problem:
        if not arguments.json:
            raise
        # A script gets its answer in the same form, whatever stands in the way.
        findings = problem.findings or (error("unreadable", "", str(problem)),)
    if arguments.json:
        say_json(findings)
    else:
        say_findings(findings)
        errors = len(errors_in(findings))
        warnings = sum(finding.severity == "warning" for finding in findings)
        say(f"{counted(errors, 'error', 'errors')}, {counted(warnings, 'warning', 'warnings')}")
    return 1 if errors_in(findings) else 0
