"""Findings: what a stage noticed about the user's document.

A stage never prints and never stops at the first fault: it returns its result together with its
findings, and the shell decides what they mean. An *error* keeps anything from being written, a
*warning* says what was done instead, a *note* tells what was taken or left.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

Severity = Literal["error", "warning", "note"]
_RANK = {"error": 0, "warning": 1, "note": 2}


@dataclass(frozen=True)
class Finding:
    """One observation, as one sentence that names the object and what to do.

    `object` is the piece's label or the element's id ("" for the document), `place` a point in
    millimetres on the page, or None where no single place is meant.
    """

    severity: Severity
    code: str
    object: str
    message: str
    place: tuple[float, float] | None = None

    def sentence(self) -> str:
        """The finding as it is shown: object, message and place on one line."""
        near = "" if self.place is None else f" (near {self.place[0]:.1f}, {self.place[1]:.1f} mm)"
        subject = f"{self.object}: " if self.object else ""
        return f"{subject}{self.message}{near}"

    def as_dict(self) -> dict[str, Any]:
        """The finding for a JSON report."""
        return {
            "severity": self.severity,
            "code": self.code,
            "object": self.object,
            "message": self.message,
            "place_mm": None if self.place is None else [round(v, 3) for v in self.place],
        }


def error(
    code: str, object: str, message: str, place: tuple[float, float] | None = None
) -> Finding:
    """A finding that keeps anything from being written."""
    return Finding("error", code, object, message, place)


def warning(
    code: str, object: str, message: str, place: tuple[float, float] | None = None
) -> Finding:
    """A finding about something that was done differently, or left out."""
    return Finding("warning", code, object, message, place)


def note(code: str, object: str, message: str, place: tuple[float, float] | None = None) -> Finding:
    """A finding that only tells what was taken."""
    return Finding("note", code, object, message, place)


def errors_in(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The errors among `findings`, in their order."""
    return tuple(finding for finding in findings if finding.severity == "error")


def in_letters(index: int) -> str:
    """A number from 0 as A, B ... Z, AA, AB ..."""
    name = ""
    number = index + 1
    while number:
        number, letter = divmod(number - 1, 26)
        name = chr(ord("A") + letter) + name
    return name


def counted(number: int, one: str, many: str) -> str:
    """`1 piece`, `2 pieces`."""
    return f"{number} {one if number == 1 else many}"


def first_of(words: Sequence[str], most: int) -> str:
    """So many words of a list at most, and how many others there are: `a, b and 3 more`."""
    more = f" and {len(words) - most} more" if len(words) > most else ""
    return f"{', '.join(words[:most])}{more}"


def ordered(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Errors first, then warnings, then notes; repeated findings once."""
    unique = dict.fromkeys(findings)
    return tuple(sorted(unique, key=lambda finding: _RANK[finding.severity]))
