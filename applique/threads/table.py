"""A table of threads as text: what one owns, spool by spool.

[[thread]]
name = "harbour blue"
colour = "#2f6f8f"
weight = 40
metres = 1000
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

from applique.errors import InputError
from applique.report import Finding, error
from applique.threads.spool import USUAL_SPOOL_M, USUAL_WEIGHT, Spool
from applique.tomltext import read_toml

FINEST_WEIGHT = 150
COARSEST_WEIGHT = 8
"""Threads that machines take lie between these weights (common practice); the higher, the finer."""

LONGEST_SPOOL_M = 50_000.0

_WORDS = ("name", "colour", "weight", "metres")
_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")

Called = Callable[[int, str], str]
"""How a finding calls a row of a table, told its index and the key that is meant ("" for none)."""


def read_spools(text: str) -> tuple[Spool, ...]:
    """Read a table of threads. Raises InputError with everything that is wrong in it."""
    data = read_toml(text, "the table of threads")
    rows = data.pop("thread", [])
    findings = [_wrong(word, "is nothing that a table of threads has; remove it") for word in data]
    if not rows or not _are_tables(rows):
        text = "names no threads; add a [[thread]], in double brackets, for each"
        raise InputError("the table of threads can't be used", [*findings, _wrong("", text)])
    spools = spools_of(rows, lambda index, _: f"thread {index + 1}", findings)
    if findings:
        raise InputError("the table of threads can't be used", findings)
    return spools


@cache
def usual_spools() -> tuple[Spool, ...]:
    """The table that comes with the program: plain colours spread over all that thread is dyed."""
    return read_spools((files("applique.threads") / "usual.toml").read_text(encoding="utf-8"))


def spools_of(
    rows: Sequence[Mapping[str, Any]], called: Called, findings: list[Finding]
) -> tuple[Spool, ...]:
    """The spools that rows of a table describe; what is wrong is added to `findings`."""
    first: dict[str, int] = {}
    spools = []
    for index, row in enumerate(rows):
        told: list[tuple[str, str]] = []
        spool = _spool(row, told)
        if first.setdefault(spool.name, index) != index:
            text = f"its name is that of {called(first[spool.name], 'name')}; give it another"
            told.append(("name", text))
        findings.extend(
            error("thread", f"{spool.name or 'a thread'} ({called(index, word)})", message)
            for word, message in told
        )
        spools.append(spool)
    return tuple(spools)


def _spool(row: Mapping[str, Any], told: list[tuple[str, str]]) -> Spool:
    """A spool; what is wrong with it is added to `told` with the key that is meant."""
    unknown = [word for word in row if word not in _WORDS]
    told.extend((word, f"'{word}' is nothing that a thread has; remove it") for word in unknown)
    return Spool(
        name=_name(row.get("name"), told),
        colour=_colour(row.get("colour"), told),
        weight=_weight(row.get("weight", USUAL_WEIGHT), told),
        length_m=_length(row.get("metres", USUAL_SPOOL_M), told),
    )


def _name(value: object, told: list[tuple[str, str]]) -> str:
    if not isinstance(value, str) or not value.strip():
        told.append(("name", 'has no name; write name = "harbour blue"'))
        return ""
    if not value.isprintable():
        told.append(("name", f"its name holds a character that can't be written: {value!r}"))
        return ""
    return value.strip()


def _colour(value: object, told: list[tuple[str, str]]) -> str:
    if not isinstance(value, str) or not _COLOUR.fullmatch(value.strip()):
        told.append(("colour", f"colour must be written as #rrggbb, not {value!r}"))
        return "#808080"
    return value.strip().lower()


def _weight(value: object, told: list[tuple[str, str]]) -> str:
    text = str(value)
    is_plain = isinstance(value, int | str) and text.isascii() and text.isdigit()
    is_plain = is_plain and len(text) <= len(str(FINEST_WEIGHT))
    if not is_plain or not COARSEST_WEIGHT <= int(text) <= FINEST_WEIGHT:
        bounds = f"between {COARSEST_WEIGHT} and {FINEST_WEIGHT}"
        told.append(("weight", f"weight must be a whole number {bounds}, as in 40, not {value!r}"))
        return USUAL_WEIGHT
    return text


def _length(value: object, told: list[tuple[str, str]]) -> float:
    if isinstance(value, int | float) and value is not True and 0 < value <= LONGEST_SPOOL_M:
        return float(value)
    bounds = f"above 0 and up to {LONGEST_SPOOL_M:g}"
    told.append(("metres", f"metres must be a number {bounds}, not {value!r}"))
    return USUAL_SPOOL_M


def _are_tables(rows: object) -> bool:
    return isinstance(rows, list) and all(isinstance(row, dict) for row in rows)


def _wrong(called: str, message: str) -> Finding:
    return error("thread", called, message)
