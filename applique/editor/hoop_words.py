"""What a dialog's words ask of a hooping plan."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from itertools import count

from applique.errors import UsageError
from applique.hoops.fields import field_of, read_fields
from applique.hoops.problem import Progress
from applique.hoops.request import HoopRequest
from applique.resources import hoop_fields_text

MOST_STEPS = 2_000
"""The editor can't be used meanwhile, so a search ends after so many steps with the best it has. A
block of 200 parts takes 500 to 1,300 of them, in one or two seconds. A count and not a clock, so
that the same drawing gives the same hoopings on any machine."""


def names_fields(options: argparse.Namespace) -> bool:
    """Whether any field is named; where none is, the block is one file."""
    return bool(_words(options))


def hoop_request(options: argparse.Namespace) -> HoopRequest:
    """The request that a page of `hoop_pages` makes; raises UsageError for one that can't be
    met."""
    usual = read_fields(hoop_fields_text())
    try:
        return HoopRequest(
            fields=tuple(field_of(word, usual) for word in _words(options)),
            turn=str(options.turn).lower() == "true",
            margin_mm=float(options.margin),
            too_large=options.too_large,
        )
    except ValueError as problem:
        raise UsageError(str(problem)) from None


def not_too_long() -> Callable[[Progress], bool]:
    """What lets a search go on for so many steps as the editor can be kept waiting."""
    steps = count(1)
    return lambda progress: next(steps) <= MOST_STEPS


def _words(options: argparse.Namespace) -> list[str]:
    return [word.strip() for word in re.split(r"[,;]", str(options.fields)) if word.strip()]
