"""What the commands print: findings on standard error, results on standard output."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any, TextIO

from applique.cli.actions import on_the_command_line
from applique.errors import OutputError
from applique.report import Finding, ordered

MOST_FINDINGS = 150
"""Lines of findings, the worst first: nobody reads more, and a hostile drawing has a fault in each
of its shapes. A report as JSON has them all."""

LONGEST_LINE = 900
"""Signs in a line: a name in a drawing may be as long as the drawing."""

NOTHING: Mapping[str, Any] = MappingProxyType({})


def say(text: str) -> None:
    """A line for the user; raises OutputError if there is nobody to read it."""
    _write(sys.stdout, text + "\n")


def say_findings(findings: Iterable[Finding]) -> None:
    """One line a finding, the worst first."""
    every = ordered(findings)
    for finding in every[:MOST_FINDINGS]:
        sentence = _on_one_line(on_the_command_line(finding.sentence()))
        _write(sys.stderr, f"{finding.severity}: {sentence}\n")
    if len(every) > MOST_FINDINGS:
        more = len(every) - MOST_FINDINGS
        _write(sys.stderr, f"{every[-1].severity}: and {more} more, which are not listed here\n")


def say_error(message: str) -> None:
    """One sentence about why nothing was done."""
    _write(sys.stderr, f"error: {_on_one_line(on_the_command_line(message))}\n")


def _on_one_line(sentence: str) -> str:
    """A sentence with its line breaks spelled out and the middle of what is endless left out."""
    if len(sentence) > LONGEST_LINE:
        half = LONGEST_LINE // 2
        sentence = f"{sentence[:half]} ... {sentence[-half:]}"
    return sentence.replace("\n", "\\n")


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
        raise OutputError(
            f"the output can't be written ({problem.strerror}); see where it goes"
        ) from None


def _readable(text: str) -> str:
    """A text whose invisible signs are spelled out: what comes from a file must not steer the
    terminal."""
    if text.isprintable():
        return text
    return "".join(
        sign if sign.isprintable() or sign in "\n\t" else sign.encode("unicode_escape").decode()
        for sign in text
    )
