"""The printed pattern of a piece whose edge is sewn on the sewing machine.

Its outline at true size, with a tick across it wherever a blanket stitch goes into the fabric: a
whole number of pitches from corner to corner, and one on the bisector of every corner, as the
embroidery machine would sew it (`stitches.bites`).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.corners import CORNER_TO_THE_EYE_DEGREES, Corners, find_corners
from applique.geometry.curves import polyline
from applique.geometry.walk import Walk, turned_left, unit, without_repeats
from applique.model import Curve, EdgeRun
from applique.paper.drawing import INK, BoxMm, Drawing, Item, Path, Printout, Text, centred
from applique.paper.hooping_pieces import covered_by
from applique.paper.inside import Inside, Subject
from applique.paper.leaders import place_numbers
from applique.paper.letters import shortened, text_width_mm
from applique.paper.sizes import SizeMm
from applique.paper.tiles import tiles
from applique.units import compact

OUTSIDE_MM = 1.0
"""How far a tick reaches out of the fabric, so that it is seen to cross the outline."""

SHARE = 0.45
"""Share of the fabric ahead that a tick may take, so that those of two sides never meet."""

_AROUND_MM = 5.0
_OUTLINE_MM = 0.35
_TICK_MM = 0.25
_LABEL_MM = 4.6
_NAME_MM = 4.2
_NAME_ROOM_MM = 60.0
"""Longer names of blocks and labels are cut short, so that both stay on the page."""

_FEWEST_ROUND = 2
"""Ticks round a closed edge without corners, however small it is."""

_SMOOTHING_MM = 0.25
"""Directions are taken over this reach: above the flattening, small against a bite."""

_BESIDE_CORNER_MM = 0.1
"""What lies so near to a corner is left out of its sides' directions: drawings often have a crumb
of a chord there."""


def pattern_printout(
    name: str,
    label: str,
    curves: Sequence[Curve],
    edges: Sequence[EdgeRun],
    pitch_mm: float,
    bite_mm: float,
    paper_mm: SizeMm,
) -> Printout:
    """The pattern of a piece of the block `name` on as many pages as it takes.

    `label` names piece and fabric; `curves` are its outline in mm on the page, `edges` what of it
    is sewn. Raises ValueError without an outline, for a pitch or a bite that is not above 0, and
    for a paper too small for the check bars.
    """
    drawing = pattern_drawing(name, label, curves, edges, pitch_mm, bite_mm)
    return Printout(drawing.name, tiles(drawing, paper_mm))


def pattern_drawing(
    name: str,
    label: str,
    curves: Sequence[Curve],
    edges: Sequence[EdgeRun],
    pitch_mm: float,
    bite_mm: float,
) -> Drawing:
    """The pattern in mm on the page of the block; see `pattern_printout`."""
    if not curves:
        raise ValueError(f"'{label}' has no outline to print")
    if not (math.inf > pitch_mm > 0 and math.inf > bite_mm > 0):
        raise ValueError("the pitch and the bite of a blanket stitch must be above 0 mm")
    fabric = covered_by(curves)
    ticks = [ticks_along(run, fabric, pitch_mm, bite_mm) for run in edges]
    strokes = tuple(polyline(tick, closed=False) for run in ticks for tick in run)
    told_label = shortened(label, _LABEL_MM, _NAME_ROOM_MM, bold=True)
    words, box = _label(told_label, fabric, bite_mm)
    items: list[Item] = [
        Path(tuple(curves), "", INK, _OUTLINE_MM),
        Path(strokes, "", INK, _TICK_MM),
        words,
    ]
    block = shortened(name or "Block", _NAME_MM, _NAME_ROOM_MM, bold=True)
    told = (
        f"Line: the edge of the fabric. Ticks: a stitch every {compact(pitch_mm, 1)} mm, "
        f"{compact(bite_mm, 1)} mm deep. Where there are no ticks nothing is sewn."
    )
    return Drawing(f"{block}, pattern of {told_label}", tuple(items), box, told)


def ticks_along(run: EdgeRun, fabric: BaseGeometry, pitch_mm: float, bite_mm: float) -> np.ndarray:
    """The ticks of one edge, an (n, 2, 2) array of mm: each from its outer end to its inner one,
    `bite_mm` into the fabric where that is wide enough. An open edge has one at both ends."""
    walk = Walk(without_repeats(run.points), run.closed)
    corners = find_corners(walk, CORNER_TO_THE_EYE_DEGREES)
    middles = (corners.start_mm + corners.stop_mm) / 2
    on_sides = _on_sides(walk, middles, pitch_mm)
    base = walk.at(np.concatenate([middles, on_sides]))
    inward = np.vstack([_bisectors(walk, corners), _square_to(walk, on_sides)])
    ahead = np.stack([base, base + inward * (bite_mm / SHARE)], axis=1)
    room = shapely.length(shapely.intersection(shapely.linestrings(ahead), fabric))
    depth = np.minimum(bite_mm, SHARE * room)
    return np.stack([base - inward * OUTSIDE_MM, base + inward * depth[:, None]], axis=1)


def _on_sides(walk: Walk, corners_mm: np.ndarray, pitch_mm: float) -> np.ndarray:
    """Where on a walk ticks stand between its corners and, on an open one, at its ends."""
    if walk.closed and len(corners_mm) == 0:
        count = max(_FEWEST_ROUND, _pitches(walk.length, pitch_mm))
        return walk.length * np.arange(count) / count
    arc = corners_mm.tolist()
    stops = [*arc, arc[0] + walk.length] if walk.closed else [0.0, *arc, walk.length]
    ends = [] if walk.closed else [np.array([0.0, walk.length])]
    between = []
    for start, stop in itertools.pairwise(stops):
        count = _pitches(stop - start, pitch_mm)
        between.append(start + (stop - start) * np.arange(1, count) / count)
    return np.concatenate([*ends, *between])


def _pitches(length_mm: float, pitch_mm: float) -> int:
    """Into how many pitches a length is divided: the nearest whole number, at least one."""
    return max(1, round(length_mm / pitch_mm))


def _square_to(walk: Walk, arc: np.ndarray) -> np.ndarray:
    """Unit directions (n, 2) into the fabric, square to the outline."""
    return turned_left(unit(walk.at(arc + _SMOOTHING_MM) - walk.at(arc - _SMOOTHING_MM)))


def _bisectors(walk: Walk, corners: Corners) -> np.ndarray:
    """Unit directions (n, 2) into the fabric, halfway between the sides of corners."""
    near, far = _BESIDE_CORNER_MM, _BESIDE_CORNER_MM + _SMOOTHING_MM
    before = unit(walk.at(corners.start_mm - near) - walk.at(corners.start_mm - far))
    after = unit(walk.at(corners.stop_mm + far) - walk.at(corners.stop_mm + near))
    blunt = unit(turned_left(before) + turned_left(after))
    # Beyond a right angle, up to a cusp, the sides' normals would cancel out.
    sharp = unit(after - before) * np.sign(corners.turn)[:, None]
    turns_back = (before * after).sum(axis=1) < 0
    return np.where(turns_back[:, None], sharp, blunt)


def _label(label: str, fabric: BaseGeometry, bite_mm: float) -> tuple[Text, BoxMm]:
    """The label within the ticks or, where it has no room there, below; and the drawing's box."""
    more = OUTSIDE_MM + _AROUND_MM
    left, top, right, bottom = fabric.buffer(more, join_style="mitre").envelope.bounds
    size = (text_width_mm(label, _LABEL_MM, bold=True), _LABEL_MM)
    subject = Subject("", fabric.buffer(-bite_mm), size)
    places = place_numbers([subject], (left, top, right, bottom), Inside(share=1.0))
    for place in places.placed:
        if place.end_mm is None:
            words = centred(label, place.centre_mm, _LABEL_MM, True, INK)
            return words, (left, top, right, bottom)
    middle = (left + right) / 2
    half = max((right - left) / 2, size[0] / 2 + 1.0)
    words = centred(label, (middle, bottom), _LABEL_MM, True, INK)
    return words, (middle - half, top, middle + half, bottom + _LABEL_MM)
