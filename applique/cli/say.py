"""What the commands print: findings on standard error, results on standard output."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any, TextIO

from applique.errors import OutputError
from applique.report import Finding, ordered

NOTHING: Mapping[str, Any] = MappingProxyType({})


def say(text: str) -> None:
    """A line for the user; raises OutputError if there is nobody to read it."""
    _write(sys.stdout, text + "\n")


def say_findings(findings: Iterable[Finding]) -> None:
    """One line a finding, the worst first."""
    for finding in ordered(findings):
        sentence = finding.sentence().replace("\n", "\\n")
        _write(sys.stderr, f"{finding.severity}: {sentence}\n")


def say_error(message: str) -> None:
    """One sentence about why nothing was done."""
    _write(sys.stderr, f"error: {message}\n")


def say_json(findings: Iterable[Finding], figures: Mapping[str, Any] = NOTHING) -> None:
    """Figures, if there are any, and the findings as one JSON object."""
    report = {**figures, "findings": [finding.as_dict() for finding in ordered(findings)]}
    _write(sys.stdout, json.dumps(report, indent=2, ensure_ascii=False) + "\n")


def _write(stream: TextIO | None, text: str) -> None:
    """Write and flush at once, so that a pipe that is closed or a disk that is full shows here."""
    if stream is None:
        return
    text = _readable(text)
    try:
        stream.write(text)
        stream.flush()
    except UnicodeEncodeError:
        stream.write(text.encode(stream.encoding, "backslashreplace").decode(stream.encoding))
    except OSError as problem:
        # What is left in the buffer would fail once more when the program ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
        raise OutputError(f"the output can't be written; {problem.strerror}") from None


def _readable(text: str) -> str:
    """A text whose invisible signs are spelled out: what comes from a file must not steer the
    terminal."""
    if text.isprintable():
        return text
    return "".join(
        sign if sign.isprintable() or sign in "\n\t" else sign.encode("unicode_escape").decode()
        for sign in text
    )
