"""How long each colour block takes the machine, and how many stitches its file holds of it."""

from __future__ import annotations

from applique.export.machine import in_units
from applique.model import Plan
from applique.proof.time import Pace, sewing_time


def machine_minutes(plan: Plan, pace: Pace) -> tuple[float, ...]:
    """The minutes of each colour block, with the stop at its end."""
    last = len(plan.blocks) - 1
    return tuple(
        sewing_time((block,), pace).machine_minutes + (k != last) * pace.stop_seconds / 60
        for k, block in enumerate(plan.blocks)
    )


def filed_stitches(plan: Plan) -> tuple[int, ...]:
    """The penetrations of each colour block in the machine's file, where those that vanish between
    two steps of the frame are left out."""
    return tuple(
        sum(len(in_units(run, plan.centre)) for run in block.runs) for block in plan.blocks
    )
