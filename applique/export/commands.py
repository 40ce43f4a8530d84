"""What a machine file tells the machine, as the format library reads it: stitches, stops, trims.

Both the check of a file just written and the reading of any other go through here.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any

import numpy as np
import pyembroidery as pe

_COMMAND = 0xFF
"""The part of a library command word that says what is done."""

_STOPS = (pe.COLOR_CHANGE, pe.STOP, pe.NEEDLE_SET)
_LONGEST_CODE = 16
"""Bits. The library looks codes up by so many."""

_NO_MACHINE_FILES = frozenset({"gcode"})
"""Texts for other machines, though the library counts them among those for embroidery."""


@dataclass(frozen=True, eq=False)
class Commands:
    """The commands of a file. `stitches` are all penetrations (n, 2) in frame steps, x right and y
    down from the origin; `stops` and `trims` how many of them come before each stop and each trim,
    but for trims before the first or after the last. `new_thread` (as many as `stops`) tells which
    of the stops call for the next thread. `jumps` counts the moves without a stitch."""

    stitches: np.ndarray
    stops: np.ndarray
    new_thread: np.ndarray
    trims: np.ndarray
    jumps: int


def _bounded(build_table: Callable[[Any], None]) -> Callable[[Any], None]:
    """The library's way to build a table of codes, but only of codes that there can be: a damaged
    packed file of a few bytes asks for tables of gigabytes."""

    def build(table: Any) -> None:
        width = max(table.lengths)
        entries = sum(1 << (width - length) for length in table.lengths if length)
        if width > _LONGEST_CODE or entries > 1 << width:
            raise ValueError("no table of codes")
        build_table(table)

    return build


_packing: Any = import_module("pyembroidery.EmbCompress")
_packing.Huffman.build_table = _bounded(_packing.Huffman.build_table)


@cache
def readers() -> Mapping[str, Any]:
    """The library's reader of every suffix that machine files have, in alphabetical order."""
    found: dict[str, Any] = {}
    for known in pe.EmbPattern.supported_formats():
        is_machine_file = known.get("category") == "embroidery" and "reader" in known
        if not is_machine_file or known["extension"] in _NO_MACHINE_FILES:
            continue
        endings = known["extensions"]
        for suffix in (endings,) if isinstance(endings, str) else endings:
            found[suffix] = known["reader"]
    return dict(sorted(found.items()))


def pattern_of(stream: io.BytesIO, suffix: str, settings: Mapping[str, Any]) -> pe.EmbPattern:
    """The library's pattern of a file. On a damaged file the library may raise anything."""
    pattern = pe.EmbPattern()
    readers()[suffix].read(stream, pattern, dict(settings))
    return pattern


def commands_of(pattern: pe.EmbPattern) -> Commands:
    """The commands of a library pattern, of which there may be none."""
    table = np.array([stitch[:3] for stitch in pattern.stitches], dtype=float).reshape(-1, 3)
    command = table[:, 2].astype(np.int64) & _COMMAND
    is_stitch = command == pe.STITCH
    before = np.cumsum(is_stitch)
    count = int(is_stitch.sum())
    is_stop = np.isin(command, _STOPS)
    # A needle that is set before anything is sewn is the first one, not another.
    is_stop &= ~((command == pe.NEEDLE_SET) & (before == 0))
    trims = np.unique(before[command == pe.TRIM])
    is_jump = command == pe.JUMP
    begins = is_jump & ~np.concatenate([[False], is_jump[:-1]])
    return Commands(
        stitches=table[is_stitch, :2],
        stops=before[is_stop],
        new_thread=command[is_stop] != pe.STOP,
        trims=trims[(trims > 0) & (trims < count)],
        jumps=int(begins.sum()),
    )


def colours_of(pattern: pe.EmbPattern) -> list[tuple[int, int, int]]:
    """The colours that a pattern lists, as red, green and blue from 0 to 255."""
    return [
        (thread.get_red(), thread.get_green(), thread.get_blue()) for thread in pattern.threadlist
    ]
