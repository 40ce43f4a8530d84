"""What deserves a second look about an outline, in words."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from applique.trace.band import BEYOND, MISSING
from applique.trace.line import Line
from applique.trace.repair import Stretch
from applique.trace.template import Doubt, Gap
from applique.trace.whereabouts import BoxMm, PointMm, whereabouts

SHORT_MM = 1.0
"""Where a hair or a speck hides less of a line than this, nothing can go far wrong."""

_LEAST_SEEN = 0.8
_ONE_LINE_PENS = 2.0
"""Two templates that touch have two lines side by side, but for a pen's width or two."""

_USUAL_PENS = (0.6, 1.6)
"""Lines thinner or thicker than these shares of the page's pen were drawn with another one, or are
something else."""


def doubts_of(
    line: Line,
    gaps: Sequence[Gap],
    touched: Sequence[PointMm],
    pen_mm: float,
    box: BoxMm,
    nested: bool,
    crossing: bool,
) -> tuple[Doubt, ...]:
    """Everything doubtful about an outline. `touched` is where other ink meets its line, `pen_mm`
    the usual width on its page; `nested` says that it lies inside another shape, `crossing` that it
    crosses itself."""
    doubts = [_gap(gap, box) for gap in gaps]
    for stretch in line.stretches:
        if not any(_is_gap(stretch, gap, line.pen_mm) for gap in gaps):
            doubts += _stretch(stretch, box)
    for place in line.thin:
        if all(_distance(doubt.place, place) > 3 * line.pen_mm for doubt in doubts):
            text = f"its line is very thin at its {whereabouts(place, box)}, behind a point"
            doubts.append(Doubt("thin", text, place))
    middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    for place in touched:
        text = f"something touches its line at its {whereabouts(place, box)}"
        near = any(_distance(doubt.place, place) < 3 * line.pen_mm for doubt in doubts)
        if not near and all(doubt.text != text for doubt in doubts):
            doubts.append(Doubt("touched", text, place))
    if line.region.pockets and not any(doubt.code == "touched" for doubt in doubts):
        text = "a number or a mark meets its line twice; it was taken off"
        doubts.append(Doubt("touched", text, middle))
    if line.region.at_border:
        text = "its line runs into the edge of the paper or of the picture; scan it with more room"
        doubts.append(Doubt("page-edge", text, middle))
    if line.one_line_mm > _ONE_LINE_PENS * line.pen_mm:
        text = (
            f"shares {line.one_line_mm:.0f} mm of its line with a neighbour; were two templates "
            "traced across each other, or does a stroke cross it?"
        )
        doubts.append(Doubt("shared-line", text, middle))
    if nested:
        doubts.append(Doubt("nested", "lies inside another shape and was taken for one", middle))
    if line.seen < _LEAST_SEEN:
        text = f"only {100 * line.seen:.0f} % of its line could be seen"
        doubts.append(Doubt("unseen", text, middle))
    if not _USUAL_PENS[0] * pen_mm < line.pen_mm < _USUAL_PENS[1] * pen_mm:
        text = f"its line is {line.pen_mm:.1f} mm wide where {pen_mm:.1f} mm is usual on the page"
        doubts.append(Doubt("other-pen", text, middle))
    if crossing:
        doubts.append(Doubt("crossing", "its outline crosses itself", middle))
    return tuple(doubts)


def _gap(gap: Gap, box: BoxMm) -> Doubt:
    where = whereabouts(gap.place, box)
    return Doubt("gap", f"a gap of {gap.width_mm:.1f} mm at its {where} was closed", gap.place)


def _is_gap(stretch: Stretch, gap: Gap, pen_mm: float) -> bool:
    """Whether a stretch is what is missing at a gap."""
    reach = stretch.length_mm / 2 + pen_mm
    return _distance(stretch.place, gap.place) <= reach


def _distance(first: PointMm, second: PointMm) -> float:
    return float(np.hypot(first[0] - second[0], first[1] - second[1]))


def _stretch(stretch: Stretch, box: BoxMm) -> list[Doubt]:
    where, length = whereabouts(stretch.place, box), f"{stretch.length_mm:.1f} mm"
    if MISSING in stretch.why:
        text = f"its line is broken or very thin at its {where}; {length} were drawn through"
        return [Doubt("thin", text, stretch.place)]
    if BEYOND in stretch.why:
        text = f"something touches the line at its {where}; {length} were drawn past it"
        return [Doubt("touched", text, stretch.place)]
    if stretch.length_mm > SHORT_MM:
        text = f"a hair or a speck lies on the line at its {where}; {length} were drawn past it"
        return [Doubt("speck", text, stretch.place)]
    return []
