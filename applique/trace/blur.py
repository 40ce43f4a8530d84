"""How blurred a picture is, measured on the edges of its own lines."""

from __future__ import annotations

import numpy as np

from applique.trace.edge import Edge
from applique.trace.light import Light

_EVERY = 7
"""Every so manieth point of an edge is measured: thousands would tell no more."""

_ACROSS_PX = np.arange(-3.0, 3.01, 0.25)
_INK_FROM_PX = 2.25
"""Light is compared at these distances towards the ink, which has its own level from the second
on."""

_LOW, _HIGH = 0.2, 0.8
_BETWEEN = 1.683
"""A step blurred by a Gaussian goes from the first share to the second within so many standard
deviations (the normal distribution's quantiles)."""

_FEWEST = 8
USUAL_PX = 0.6
"""What scanners blur at 300 dpi, where too little of an edge is seen to measure it."""

_LEAST_PX, _MOST_PX = 0.3, 2.0


def blur_px(light: Light, edge: Edge) -> float:
    """The standard deviation of the blur across an edge, in pixels, all causes together: optics,
    the pixels' own width, ink that spreads."""
    points, towards = edge.points[edge.found][::_EVERY], edge.towards_ink[edge.found][::_EVERY]
    if len(points) < _FEWEST:
        return USUAL_PX
    found = light.at(points[:, None] + _ACROSS_PX[None, :, None] * towards[:, None])
    paper = light.of_paper(points)[:, None]
    ink = np.median(found[:, _ACROSS_PX >= _INK_FROM_PX], axis=1, keepdims=True)
    share = np.median((paper - found) / np.maximum(paper - ink, 1e-3), axis=0)
    low, high = np.interp((_LOW, _HIGH), np.maximum.accumulate(share), _ACROSS_PX)
    return float(np.clip((high - low) / _BETWEEN, _LEAST_PX, _MOST_PX))
