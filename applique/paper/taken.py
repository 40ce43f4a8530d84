"""What is already in its place while numbers are placed."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from applique.paper.clear import boxes_meet
from applique.paper.inside import Placed


@dataclass(frozen=True, eq=False)
class Taken:
    """Boxes (n, 4) that have their places, and the starts and ends (m, 2) of lines."""

    boxes: np.ndarray = field(default_factory=lambda: np.empty((0, 4)))
    starts: np.ndarray = field(default_factory=lambda: np.empty((0, 2)))
    ends: np.ndarray = field(default_factory=lambda: np.empty((0, 2)))

    def and_also(self, placed: Placed) -> Taken:
        """With another one."""
        boxes = np.vstack([self.boxes, placed.box.bounds])
        if placed.start_mm is None or placed.end_mm is None:
            return Taken(boxes, self.starts, self.ends)
        starts, ends = (self.starts, placed.start_mm), (self.ends, placed.end_mm)
        return Taken(boxes, np.vstack(starts), np.vstack(ends))

    def near(self, around: np.ndarray) -> Taken:
        """What comes into a box (1, 4)."""
        low, high = np.minimum(self.starts, self.ends), np.maximum(self.starts, self.ends)
        lines = boxes_meet(np.hstack([low, high]), around)[:, 0]
        boxes = boxes_meet(self.boxes, around)[:, 0]
        return Taken(self.boxes[boxes], self.starts[lines], self.ends[lines])
