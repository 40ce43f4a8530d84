"""Details as they are drawn: lines, open ones too, and shapes small enough for a spot of satin."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from shapely import MultiPolygon

from applique.geometry.curves import flatten
from applique.geometry.rings import SNAP_MM
from applique.geometry.walk import without_repeats
from applique.geometry.width import narrower_than, widest_mm
from applique.model import Curve, Detail, EdgeRun, Thread
from applique.report import Finding, error
from applique.settings import Settings
from applique.svg.outlines import (
    Trouble,
    curves_in_mm,
    made_clean,
    open_gap,
    outline_of,
    rule_of,
)
from applique.svg.style import Look, colour_hex
from applique.svg.tree import Drawn
from applique.table import DETAILS

SPOT = "spot"
_LINE_STYLE = "there-and-back"
_BLACK = "#000000"


@dataclass(frozen=True, eq=False)
class DrawnDetail:
    """What a detail's element draws, in mm: `lines`, or the `shape` of a spot."""

    style: str
    lines: tuple[EdgeRun, ...]
    shape: MultiPolygon


def trace_detail(
    shapes: Sequence[Drawn], asked: str
) -> tuple[DrawnDetail | None, tuple[Trouble, ...]]:
    """What the shapes of one detail draw, None if there is nothing to sew; and what was found.

    `asked` is the style of its tag: with auto, or an empty word, closed shapes that are filled
    become a spot, and everything else lines sewn there and back.
    """
    told: list[Trouble] = []
    style = _style(asked, told)
    curves, trouble = curves_in_mm(list(shapes))
    if trouble is None:
        curves, trouble = made_clean(curves)
    if trouble is None and not curves:
        trouble = Trouble("no-line", "draws nothing that could be sewn; draw it anew or remove it")
    if trouble is not None:
        return None, (*told, trouble)
    gap = next((curve for curve in curves if not curve.closed), None)
    if style == "auto":
        is_spot = gap is None and shapes[0].look.fill is not None
        style = SPOT if is_spot else _LINE_STYLE
    if style != SPOT:
        lines = tuple(_line(curve, k) for k, curve in enumerate(curves))
        return DrawnDetail(style, lines, MultiPolygon()), tuple(told)
    if gap is not None:
        return None, (*told, _open_spot(gap))
    traced = outline_of(curves, rule_of(list(shapes)))
    told.extend(traced.troubles)
    found = None if traced.outline is None else DrawnDetail(style, (), traced.outline.shape)
    return found, tuple(told)


def detail_of(
    drawn: DrawnDetail,
    label: str,
    source: str,
    look: Look,
    tags: Mapping[str, str],
    settings: Settings,
    findings: list[Finding],
) -> Detail | None:
    """The detail, or None if it can't be sewn. Where no thread is tagged, lines have the colour of
    their stroke and spots that of their fill."""
    colour = tags.get("thread")
    own = (look.fill, look.stroke) if drawn.style == SPOT else (look.stroke, look.fill)
    thread = colour_hex(colour or own[0] or own[1] or _BLACK)
    if thread is None:
        text = f"ap:thread '{colour}' is no colour; write it as #rrggbb"
        findings.append(error("thread", label, text))
        return None
    limit = settings.spot_size_mm
    if drawn.style == SPOT and not narrower_than(drawn.shape, limit):
        text = (
            f"is {widest_mm(drawn.shape):.1f} mm across, too large for a spot of satin (at most "
            f"{limit:g} mm); make it smaller, or a piece by removing ap:detail"
        )
        findings.append(error("detail-size", label, text))
        return None
    sewn_with = Thread(thread, tags.get("thread-name", ""))
    return Detail(label, source, drawn.style, drawn.lines, drawn.shape, sewn_with, settings)


def _style(asked: str, told: list[Trouble]) -> str:
    style = asked.strip() or "auto"
    if style in DETAILS:
        return style
    styles = ", ".join(name for name in DETAILS if name != "none")
    text = f"ap:detail '{asked}' is none of {styles}; it was taken for auto"
    told.append(Trouble("detail", text, fatal=False))
    return "auto"


def _line(curve: Curve, number: int) -> EdgeRun:
    """A curve as it is sewn; one to a single other place and back is an open line to there."""
    points = without_repeats(np.round(flatten(curve) / SNAP_MM) * SNAP_MM)
    return EdgeRun(points, curve.closed and len(points) > 2, number)


def _open_spot(curve: Curve) -> Trouble:
    gap, place = open_gap(curve)
    return Trouble(
        "open-path",
        f"a spot needs a closed path, and the ends of this one lie {gap:.2f} mm apart; join them "
        "with the node tool, or sew it as a line",
        place,
    )
