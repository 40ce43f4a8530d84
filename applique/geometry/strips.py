"""Strips with round ends, such as passes of thread, and what of a shape they leave bare."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pyclipper
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import Path, polygons_of_tree, rings_of

GRID_MM = 1e-5
"""Strips are joined on this grid. What it rounds off is some millionths of a band of 3 mm, and the
largest page, 10 m, still has whole numbers that the clipping library multiplies at full speed."""

_TOGETHER = 16
"""So many strips that follow each other are joined first. The clipping library's time grows faster
than their number; with 12 to 24 it is less than half of what all at once take (measured)."""


def round_ended(starts: np.ndarray, ends: np.ndarray, half: float, chords: int) -> np.ndarray:
    """Outlines (n, 2 (2 chords + 1), 2) of strips from points (n, 2) to points (n, 2) that reach
    `half` to either side. A quarter of an end has so many `chords`, whose corners lie on the round;
    a strip without length is a disc."""
    step = ends - starts
    length = np.hypot(step[:, 0], step[:, 1])[:, None]
    along = np.where(length > 0, step / np.maximum(length, 1e-12), [1.0, 0.0])
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    turn = np.radians(np.linspace(90, 270, 2 * chords + 1))
    arc = half * (
        np.cos(turn)[None, :, None] * along[:, None, :]
        + np.sin(turn)[None, :, None] * across[:, None, :]
    )
    return np.concatenate([starts[:, None, :] + arc, ends[:, None, :] - arc], axis=1)


def left_bare(shape: BaseGeometry, strips: np.ndarray) -> MultiPolygon:
    """What of a shape none of the strips (n, k, 2) lies on, all in mm, to within `GRID_MM`.

    Strips that follow each other should lie side by side, as those of a seam do: that is fast.
    """
    wanted = [path for ring in rings_of(shape) for path in _on_grid(ring[None])]
    cover = _on_grid(strips)
    clipper = pyclipper.Pyclipper()
    clipper.StrictlySimple = True
    if not _added(clipper, wanted, pyclipper.PT_SUBJECT):
        return MultiPolygon()
    for first in range(0, len(cover), _TOGETHER):
        _added(clipper, _joined(cover[first : first + _TOGETHER]), pyclipper.PT_CLIP)
    fill = pyclipper.PFT_NONZERO
    tree = clipper.Execute2(pyclipper.CT_DIFFERENCE, fill, fill)
    return MultiPolygon(polygons_of_tree(tree, GRID_MM))


def _joined(strips: Sequence[Path]) -> list[Path]:
    """A few strips as one set of rings, holes turned the other way."""
    clipper = pyclipper.Pyclipper()
    if not _added(clipper, strips, pyclipper.PT_SUBJECT):
        return []
    fill = pyclipper.PFT_NONZERO
    joined: list[Path] = clipper.Execute(pyclipper.CT_UNION, fill, fill)
    return joined


def _added(clipper: pyclipper.Pyclipper, rings: Sequence[Path], role: int) -> bool:
    """Hand rings to the clipping library; False if none of them encloses anything."""
    if not rings:
        return False
    try:
        clipper.AddPaths(rings, role, True)
    except pyclipper.ClipperException:
        return False
    return True


def _on_grid(rings: np.ndarray) -> list[Path]:
    """Rings (n, k, 2) of mm in steps of the grid."""
    paths: list[Path] = np.rint(rings / GRID_MM).astype(np.int64).tolist()
    return paths
