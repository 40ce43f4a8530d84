"""What is sewn with, and the bounds of what any machine is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Needles = Literal["single", "many"]
"""Machines with one needle stop at each change of colour; those with many change by themselves."""

MOST_NEEDLES = 20
SLOWEST, FASTEST = 50.0, 2000.0
"""Stitches a minute of any machine (from memory)."""


@dataclass(frozen=True)
class Machine:
    """What is sewn with: the suffix of its files, its needles (`needle_count` of "many"), and how
    many stitches it makes a minute."""

    format: str = "dst"
    needles: Needles = "single"
    needle_count: int = 1
    stitches_per_minute: float = 600.0
