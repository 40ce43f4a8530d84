"""How much thread a block takes, by the geometry of the lockstitch.

A stitch of length L lies once on top, as needle thread, and once below, as bobbin thread. At every
penetration the two are interlaced. In a balanced run that happens midway in the material of
thickness T: each thread goes in by T/2 and back, so that a stitch takes L + T of either. Per length
of seam that is the published formula for type 301, C = 2 + 2TS with S stitches a length.

In a satin or a zigzag the needle thread is drawn to the underside, so that it cannot show on top:
it makes a loop through all of T, which the bobbin thread pulls in along the underside. With a
share b of the underside showing needle thread, each loop goes bL/2 out and bL/2 back. A stitch then
takes (1 + b)L + 2T of needle thread and (1 - b)L of bobbin thread: together 2L + 2T, as in the run.
So the sum does not depend on the tension; only how it is divided does, and of that two published
rules disagree (`BACK_SHARE`).

What stretch, twist and the flattening of stitches do (a few per cent) is left out; wind 10 to 15 %
more than is told here. Sources stand in docs/sources.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from applique.model import Thread, ThreadBlock

THICKNESS_MM = 0.8
"""Background, fabric and stabiliser under the presser foot: two cottons of 0.25 mm and a tear-away
of 0.3 mm (from memory)."""

BACK_SHARE = 1 / 3
"""The share of a satin's underside that is reckoned to show needle thread: chosen between two
published rules that don't agree.

A thread maker tells what is consumed, 5 m of needle and 3 m of bobbin thread for 1,000 stitches; to
be divided so, our samples would need a share of about a sixth. A rule of the web on how a satin's
back should look has two thirds; that leaves 1.3 to 1.7 m on the bobbin. What is consumed stands
before what it should look like, and a bobbin that runs out is the worse mistake. With a third the
samples take 5.0 to 5.9 m and 2.2 to 2.5 m. The sum is the same with any share."""

TAIL_MM = 25.0
"""What hangs free at either end of a thread after a trim by the machine (from memory; a thread cut
by hand hangs free for some 100 mm)."""

_TURNS_BACK = np.cos(np.radians(100.0))
"""A seam that turns by more than this swings back; corners of a run or a blanket, up to a right
angle, don't."""


@dataclass(frozen=True)
class ThreadUse:
    """Thread in mm: `needle_mm` from the spool on top, `bobbin_mm` from the bobbin."""

    needle_mm: float = 0.0
    bobbin_mm: float = 0.0

    def __add__(self, other: ThreadUse) -> ThreadUse:
        return ThreadUse(self.needle_mm + other.needle_mm, self.bobbin_mm + other.bobbin_mm)

    @property
    def total_mm(self) -> float:
        """Both threads together."""
        return self.needle_mm + self.bobbin_mm


def swings(points: np.ndarray) -> np.ndarray:
    """Which stitches of a path (n, 2) go across a seam: (n - 1,) of bool.

    They turn back at both ends, as those of a satin or a zigzag do; an end of the path counts as
    turned back if the other end of the stitch does.
    """
    step = np.diff(points, axis=0)
    if len(step) < 2:
        return np.zeros(len(step), dtype=bool)
    length = np.hypot(step[:, 0], step[:, 1])
    along = (step[:-1] * step[1:]).sum(axis=1)
    back = along < _TURNS_BACK * length[:-1] * length[1:]
    return np.concatenate([back[:1], back]) & np.concatenate([back, back[-1:]])


def thread_use(
    paths: Sequence[np.ndarray],
    thickness_mm: float = THICKNESS_MM,
    back_share: float = BACK_SHARE,
) -> ThreadUse:
    """The thread in stitch paths, (n, 2) arrays of mm, each sewn without a trim; tails aside.

    `thickness_mm` is that of all layers together, `back_share` holds for stitches that go across
    the seam (`swings`); the others count as balanced. Raises ValueError if the thickness is
    negative or the share is not between 0 and 1.
    """
    if not thickness_mm >= 0:
        raise ValueError(f"layers can't be {thickness_mm:g} mm thick")
    if not 0 <= back_share <= 1:
        raise ValueError(f"the needle thread's share of the back must be 0 to 1, not {back_share}")
    return sum((_path_use(path, thickness_mm, back_share) for path in paths), ThreadUse())


def _path_use(points: np.ndarray, thickness_mm: float, back_share: float) -> ThreadUse:
    step = np.diff(points, axis=0)
    length = np.hypot(step[:, 0], step[:, 1])
    across = swings(points) & (back_share > 0)
    drawn_in = float((length[across] * back_share).sum() + across.sum() * thickness_mm)
    each = float(length.sum()) + len(length) * thickness_mm
    return ThreadUse(each + drawn_in, each - drawn_in)


def thread_by_spool(
    blocks: Sequence[ThreadBlock],
    thickness_mm: float = THICKNESS_MM,
    back_share: float = BACK_SHARE,
) -> dict[Thread, ThreadUse]:
    """What each thread of a plan takes, in the order of first use; tails aside."""
    uses: dict[Thread, ThreadUse] = {}
    for block in blocks:
        used = thread_use(block.runs, thickness_mm, back_share)
        uses[block.thread] = uses.get(block.thread, ThreadUse()) + used
    return uses


def tails_use(blocks: Sequence[ThreadBlock], tail_mm: float = TAIL_MM) -> ThreadUse:
    """What hangs free at both ends of every run of a plan, and is cut off."""
    ends = 2 * sum(len(block.runs) for block in blocks)
    return ThreadUse(ends * tail_mm, ends * tail_mm)


# How likely a figure is

Kind = Literal["run", "zigzag", "embroidery"]


@dataclass(frozen=True)
class Band:
    """Where a published figure lies, and the range around it that counts as likely."""

    published: float
    low: float
    high: float
    per: str


BANDS: Mapping[Kind, Band] = MappingProxyType(
    {
        "run": Band(2.5, 2.0, 3.5, "mm of thread a mm of seam"),
        "zigzag": Band(5.5, 4.0, 7.0, "mm of thread a mm of seam"),
        "embroidery": Band(8.0, 6.0, 10.0, "mm of thread a stitch"),
    }
)
"""Needle and bobbin thread together. Runs: 1 : 2.5 is published for type 301; a ratio below 2 is
impossible, and 3.5 is a seam of 2 mm stitches through layers of 1.5 mm. Zigzag: 1 : 5.5 for type
304, the machine's usual widths and lengths within a quarter of it. Embroidery: 5 m upper and 3 m
lower thread for 1,000 stitches, within a quarter: by as much do the published figures differ."""


def plausible(kind: Kind, use: ThreadUse, measure: float) -> bool:
    """Whether the thread used lies within the published band for its kind.

    `measure` is the seam's length in mm for runs and zigzags, the number of stitches for
    embroidery; where it is 0 there is nothing to doubt.
    """
    if measure <= 0:
        return True
    band = BANDS[kind]
    return band.low <= use.total_mm / measure <= band.high


def seam_mm(points: np.ndarray) -> float:
    """How far a path (n, 2) of a run, a zigzag or a satin gets on along its seam, in mm: runs by
    their length, swings by half the way from each needle point to the next but one."""
    step = np.diff(points, axis=0)
    across = swings(points)
    plain = float(np.hypot(step[~across, 0], step[~across, 1]).sum())
    if not across.any():
        return plain
    pair = points[2:] - points[:-2]
    advance = np.hypot(pair[:, 0], pair[:, 1]) / 2
    # Every stitch but the last knows its advance from the point after it.
    each = np.concatenate([advance, advance[-1:]])
    return plain + float(each[across].sum())
