"""Keeping a file's stitches where the block's centre is.

Many machines centre a file on the extents of its stitches. Where these are lopsided about the
block's centre, everything would be sewn to one side. Small marks, or a basting box, make the
extents symmetrical; or the user is told the offset.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from applique.model import Plan
from applique.stitches.running import running
from applique.stitches.ties import tied

MARK_MM = 3.0
"""Length of each arm of a corner mark."""

BASTING_MM = 6.0
"""Stitch length of a basting box, easily taken out again (common practice: 5 to 7 mm)."""

TIE_MM = 0.8

LOPSIDED_MM = 0.5
"""An offset below this is less than a hand can lay true."""


def offset_from_centre(plan: Plan) -> tuple[float, float]:
    """How far right and down the middle of the stitches lies from the block's centre, in mm."""
    low, high = _extents(plan)
    return float(low[0] + high[0]) / 2, float(low[1] + high[1]) / 2


def way_told(right_mm: float, down_mm: float) -> str:
    """A way in words: `1.0 mm right and 2.0 mm below`."""
    across = f"{abs(right_mm):.1f} mm {'right' if right_mm >= 0 else 'left'}"
    return f"{across} and {abs(down_mm):.1f} mm {'below' if down_mm >= 0 else 'above'}"


def is_lopsided(plan: Plan) -> bool:
    """Whether a machine that centres on the stitches would sew visibly beside the centre."""
    return max(abs(value) for value in offset_from_centre(plan)) >= LOPSIDED_MM


def with_corner_marks(plan: Plan) -> Plan:
    """The plan with a small angle sewn first at each corner of symmetrical extents."""
    marks = []
    for corner, inwards in zip(_corners(plan), ((1, 1), (-1, 1), (-1, -1), (1, -1)), strict=True):
        arms = corner + MARK_MM * np.array([[0.0, inwards[1]], [0.0, 0.0], [inwards[0], 0.0]])
        marks.append(tied(arms, arms, arms[::-1], TIE_MM))
    return _begun_with(plan, marks)


def with_basting_box(plan: Plan) -> Plan:
    """The plan with a rectangle of long stitches sewn first round symmetrical extents."""
    box = running(np.array(_corners(plan)), closed=True, length_mm=BASTING_MM)
    return _begun_with(plan, [tied(box, box, box[::-1], TIE_MM)])


def _begun_with(plan: Plan, runs: list[np.ndarray]) -> Plan:
    first = plan.blocks[0]
    begun = replace(first, runs=(*runs, *first.runs))
    return replace(plan, blocks=(begun, *plan.blocks[1:]))


def _corners(plan: Plan) -> list[np.ndarray]:
    """The corners of the extents made symmetrical, in order round, from the upper left."""
    low, high = _extents(plan)
    half = np.maximum(np.abs(low), np.abs(high))
    centre = np.array(plan.centre)
    return [centre + half * np.array(sign) for sign in ((-1, -1), (1, -1), (1, 1), (-1, 1))]


def _extents(plan: Plan) -> tuple[np.ndarray, np.ndarray]:
    """Least and greatest (x, y) of all penetrations, mm from the block's centre."""
    stitches = np.vstack([run for block in plan.blocks for run in block.runs]) - plan.centre
    return stitches.min(axis=0), stitches.max(axis=0)
