"""A hooping as the plan of its machine file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from applique.errors import OutputError
from applique.hoops.plan import Hooping
from applique.model import Plan
from applique.sequence.plan import plan_of

STEP_MM = 0.1
"""One step of a machine's frame. All hoopings lie on the steps of the block's own file, so that
together they sew exactly what it would."""


def file_plan(hooping: Hooping, name: str, block_centre: tuple[float, float]) -> Plan:
    """The plan of a hooping's file, around the middle of its field, upright in the frame. Raises
    OutputError if a stitch lies outside the field."""
    plan = plan_of(hooping.steps, name, hooping.centre)
    blocks = tuple(
        replace(
            block,
            runs=tuple(_in_frame(run, hooping, block_centre) for run in block.runs),
        )
        for block in plan.blocks
    )
    _check_in_field([run for block in blocks for run in block.runs], hooping)
    return replace(plan, blocks=blocks)


def _check_in_field(runs: Sequence[np.ndarray], hooping: Hooping) -> None:
    """A machine refuses a file, or strikes its frame, where a stitch lies outside the field."""
    away = np.abs(np.vstack(runs) - np.array(hooping.centre)).max(axis=0)
    if (away > np.array(hooping.field.size_mm) / 2 + STEP_MM / 2).any():
        raise OutputError(
            f"hooping {hooping.number}: a stitch would lie outside the field {hooping.field.name}; "
            "give a larger margin"
        )


def on_steps(points: np.ndarray, block_centre: tuple[float, float]) -> np.ndarray:
    """Points (n, 2) of mm on the nearest steps of the block's file, halves away from its centre."""
    steps = np.round((points - np.array(block_centre)) / STEP_MM, 6)
    return np.sign(steps) * np.floor(np.abs(steps) + 0.5) * STEP_MM + np.array(block_centre)


def centre_on_steps(
    centre: tuple[float, float], block_centre: tuple[float, float]
) -> tuple[float, float]:
    """A field's middle moved by less than a step, so that it lies on one."""
    x, y = on_steps(np.array([centre]), block_centre)[0].tolist()
    return x, y


def _in_frame(
    points: np.ndarray, hooping: Hooping, block_centre: tuple[float, float]
) -> np.ndarray:
    """Points (n, 2) as they lie in the frame: a quarter turn clockwise where the block is turned
    (right becomes down)."""
    snapped = on_steps(points, block_centre)
    if not hooping.turned:
        return snapped
    centre = np.array(hooping.centre)
    away = snapped - centre
    return np.asarray(np.stack([-away[:, 1], away[:, 0]], axis=1) + centre)
