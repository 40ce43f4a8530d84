"""What a dialog's words ask of a hooping plan."""

from __future__ import annotations

import argparse
import re
import time
from collections.abc import Callable

from applique.errors import UsageError
from applique.hoops.fields import field_of, read_fields
from applique.hoops.problem import Progress
from applique.hoops.request import HoopRequest
from applique.resources import hoop_fields_text

LONGEST_S = 20.0
"""The editor can't be used meanwhile, so a search ends by then with the best it has."""


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


def in_time() -> Callable[[Progress], bool]:
    """What lets a search go on for so long as the editor can be kept waiting."""
    end = time.monotonic() + LONGEST_S
    return lambda progress: time.monotonic() < end


def _words(options: argparse.Namespace) -> list[str]:
    return [word.strip() for word in re.split(r"[,;]", str(options.fields)) if word.strip()]
