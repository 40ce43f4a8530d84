"""How long the machine sews a block, from its stitches alone.

Only the machine's own time is reckoned. How long laying, trimming and threading take is the
user's affair, so these are counted and not timed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from applique.model import ThreadBlock


@dataclass(frozen=True)
class Pace:
    """How fast a machine works. Raises ValueError if a speed is not above 0 or a time below it.

    600 stitches a minute is the lower end of the published average (600 to 750) and the usual cap
    for dense work. A stop with its start costs 6 to 20 s (published): the middle is taken. A trim
    takes some 5 s, and stitches over 7 mm half the speed (both from memory).
    """

    stitches_per_minute: float = 600.0
    stop_seconds: float = 13.0
    trim_seconds: float = 5.0
    long_stitch_mm: float = 7.0
    long_stitch_speed: float = 0.5

    def __post_init__(self) -> None:
        if not (self.stitches_per_minute > 0 and 0 < self.long_stitch_speed <= 1):
            raise ValueError("a machine's speed must be above 0")
        if not min(self.stop_seconds, self.trim_seconds, self.long_stitch_mm) >= 0:
            raise ValueError("a stop, a trim and a long stitch can't be less than 0")


USUAL_PACE = Pace()


@dataclass(frozen=True)
class SewingTime:
    """What the machine does: minutes spent sewing, trimming and stopping, and how often.

    `pauses` are the stops at which the user lays or trims fabric, `thread_changes` those at which
    only the thread is changed or is changed as well; what she does at either is not in the minutes.
    """

    stitches: int
    trims: int
    pauses: int
    thread_changes: int
    stops: int
    sewing_minutes: float
    trimming_minutes: float
    stopping_minutes: float

    @property
    def machine_minutes(self) -> float:
        """Everything the machine does, from the first stitch to the last trim."""
        return self.sewing_minutes + self.trimming_minutes + self.stopping_minutes


def sewing_time(blocks: Sequence[ThreadBlock], pace: Pace = USUAL_PACE) -> SewingTime:
    """The time a plan's thread blocks take, in minutes.

    Every run ends with a trim, every block but the last with a stop.
    """
    runs = [run for block in blocks for run in block.runs]
    pauses = sum(bool(block.pause) for block in blocks)
    changes = sum(one.thread != other.thread for one, other in pairwise(blocks))
    stops = max(len(blocks) - 1, 0)
    return SewingTime(
        stitches=sum(len(run) for run in runs),
        trims=len(runs),
        pauses=pauses,
        thread_changes=changes,
        stops=stops,
        sewing_minutes=sum(_turns_of(run, pace) for run in runs) / pace.stitches_per_minute,
        trimming_minutes=len(runs) * pace.trim_seconds / 60,
        stopping_minutes=stops * pace.stop_seconds / 60,
    )


def _turns_of(points: np.ndarray, pace: Pace) -> float:
    """Penetrations of a run, those after a long stitch counted for as many as are sewn in the same
    time at full speed."""
    step = np.diff(points, axis=0)
    long = int((np.hypot(step[:, 0], step[:, 1]) > pace.long_stitch_mm).sum())
    return len(points) + long * (1 / pace.long_stitch_speed - 1)
