"""Where the near edge of a line lies by its far edge alone: moved in by the width of the line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

_WIDEST_PENS = 1.3
"""A line wider than this is two, drawn side by side, and its far edge is that of the other one."""

_FINE_MM = 0.005
"""An edge without what strays by less than this is the same for a pen."""

_QUARTER_SEGMENTS = 12
_STEP_MM = 0.1
"""A rail's direction is taken over so much to either side."""


@dataclass(frozen=True, eq=False)
class Rail:
    """A closed line beside which places are told as mm along it, in its direction from where the
    near edge was last seen, and mm off it to the inside."""

    ring: shapely.LinearRing
    start_mm: float

    @classmethod
    def between(cls, far: np.ndarray, flanks: np.ndarray, pen_mm: float) -> Rail | None:
        """The far edge (n, 2) of a line, moved in by its width between the far edge and the near
        one's `flanks`, (k, 2), whose first point is where the near edge was last seen. None if the
        line is not that of one pen. All in mm."""
        outline = shapely.linearrings(far)
        width_mm = float(np.median(shapely.distance(shapely.points(flanks), outline)))
        if width_mm > _WIDEST_PENS * pen_mm:
            return None
        polygon = shapely.make_valid(shapely.simplify(shapely.Polygon(far), _FINE_MM))
        # In a notch the middle of the pen turns on the spot, and its nib leaves an arc.
        middle = shapely.buffer(polygon, -width_mm / 2, join_style="mitre")
        inner = shapely.buffer(middle, -width_mm / 2, quad_segs=_QUARTER_SEGMENTS)
        if inner.is_empty:
            return None
        ring = max(shapely.get_parts(inner), key=shapely.area).exterior
        if shapely.is_ccw(ring) != shapely.is_ccw(outline):
            ring = shapely.reverse(ring)
        return cls(ring, float(shapely.line_locate_point(ring, shapely.Point(flanks[0]))))

    def located(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """How far along the rail points (n, 2) lie and how far off it, (n,) each. What lies less
        than half the rail behind its start is told as negative."""
        half = self.ring.length / 2
        places = shapely.points(points)
        along = shapely.line_locate_point(self.ring, places) - self.start_mm
        inside = shapely.contains_xy(shapely.Polygon(self.ring), points)
        off = shapely.distance(places, self.ring) * np.where(inside, 1.0, -1.0)
        return (along + half) % (2 * half) - half, off

    def points(self, along: np.ndarray, off: np.ndarray) -> np.ndarray:
        """The points (n, 2) so far along the rail and off it."""
        ahead = self._at(along + _STEP_MM) - self._at(along - _STEP_MM)
        ahead /= np.maximum(np.hypot(*ahead.T), 1e-9)[:, None]
        left = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
        inward = left if shapely.is_ccw(self.ring) else -left
        return self._at(along) + off[:, None] * inward

    def _at(self, along: np.ndarray) -> np.ndarray:
        places = (along + self.start_mm) % self.ring.length
        return shapely.get_coordinates(shapely.line_interpolate_point(self.ring, places))


def nearest(points: np.ndarray, others: np.ndarray) -> np.ndarray:
    """How far each of some points (n, 2) is from the nearest of others, (n,)."""
    return np.hypot(*(points[:, None] - others[None]).transpose(2, 0, 1)).min(axis=1)
