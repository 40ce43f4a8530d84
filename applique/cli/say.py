"""What the commands print: findings on standard error, results on standard output."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable

from applique.report import Finding, ordered


def say(text: str) -> None:
    """A line for the user."""
    sys.stdout.write(text + "\n")


def say_findings(findings: Iterable[Finding]) -> None:
    """One line a finding, the worst first."""
    for finding in ordered(findings):
        sys.stderr.write(f"{finding.severity}: {finding.sentence()}\n")


def say_error(message: str) -> None:
    """One sentence about why nothing was done."""
    sys.stderr.write(f"error: {message}\n")


def say_json(findings: Iterable[Finding]) -> None:
    """The findings as a JSON object."""
    report = {"findings": [finding.as_dict() for finding in ordered(findings)]}
    sys.stdout.write(json.dumps(report, indent=2, ensure_ascii=False) + "\n")


def counted(number: int, one: str, many: str) -> str:
    """`1 piece`, `2 pieces`."""
    return f"{number} {one if number == 1 else many}"
