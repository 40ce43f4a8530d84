"""What each machine format can hold, and how it must be written to hold what the plan says.

A table of limits and settings; `machine.py` acts on it. All were measured by writing and reading
back plans; see docs/formats.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Colours = Literal["exact", "palette", "none"]

UNITS_PER_MM = 10
"""Machine files count in steps of the embroidery frame, 0.1 mm."""

LONGEST_STITCH_UNITS = 121
"""The most that one tape record can move on either axis: 1 + 3 + 9 + 27 + 81 (docs/sources.md)."""

FIXED_DATE = "20000101000000"
"""Stands where a format wants the time, so that the same plan gives the same bytes."""


@dataclass(frozen=True)
class Format:
    """One machine format. `suffix` names it; `most_changes` is the most colour changes it holds
    (None: any number); `name_length` how much of the block's name, in ASCII, it can carry.

    `needs_parity` marks a format that shifts a design whose extents are odd in sum.
    """

    suffix: str
    title: str
    colours: Colours
    name_length: int
    most_changes: int | None = None
    write_settings: Mapping[str, Any] = field(default_factory=dict)
    read_settings: Mapping[str, Any] = field(default_factory=dict)
    needs_parity: bool = False


FORMATS: Mapping[str, Format] = {
    item.suffix: item
    for item in (
        Format("dst", "DST stitch file", "none", 16),
        Format("pes", "PES stitch file", "exact", 8, 254, {"version": 6}),
        Format("pec", "PEC stitch file", "palette", 8, 254),
        Format("exp", "EXP stitch file", "none", 0),
        Format(
            "jef",
            "JEF stitch file",
            "palette",
            0,
            write_settings={"trims": True, "date": FIXED_DATE},
            read_settings={"trims": True, "trim_distance": None},
        ),
        Format(
            "vp3",
            "VP3 stitch file",
            "exact",
            0,
            write_settings={"round": True},
            needs_parity=True,
        ),
        # A step of exactly 124 is lost with the default of 124.
        Format(
            "xxx",
            "XXX stitch file",
            "exact",
            0,
            write_settings={"max_stitch": 123, "max_jump": 123},
        ),
    )
}
"""The formats by suffix."""
