"""A spool of thread: what it is called, its colour, how thick it is and how much is on it."""

from __future__ import annotations

from dataclasses import dataclass

from applique.model import Thread

USUAL_WEIGHT = "40"
USUAL_SPOOL_M = 1000.0
"""Metres on a usual spool of embroidery thread (common practice; small ones hold 200 m)."""


@dataclass(frozen=True)
class Spool:
    """A thread that may be used. `colour` is #rrggbb, `length_m` what is on one spool."""

    name: str
    colour: str
    weight: str = USUAL_WEIGHT
    length_m: float = USUAL_SPOOL_M

    @property
    def thread(self) -> Thread:
        """The thread as it is sewn with."""
        return Thread(self.colour, self.name)
