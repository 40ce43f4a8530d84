"""What the user says of her machine, her hands and her materials."""

from __future__ import annotations

from dataclasses import dataclass, field

from applique.proof.time import Pace
from applique.quilt.machine import Machine
from applique.quilt.project import Guidance, Handwork


@dataclass(frozen=True)
class Wishes:
    """The machine that sews, the minutes that handwork takes, and the user's own words on needle
    and stabiliser."""

    machine: Machine = field(default_factory=Machine)
    handwork: Handwork = field(default_factory=Handwork)
    guidance: Guidance = field(default_factory=Guidance)

    @property
    def pace(self) -> Pace:
        """How fast the machine works."""
        return Pace(stitches_per_minute=self.machine.stitches_per_minute)
