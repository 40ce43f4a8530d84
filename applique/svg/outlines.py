"""From a drawn shape to a clean outline in mm, or to the reason why there is none."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from applique.geometry.curves import FLATNESS_MM, flatten, reversed_curve, transformed
from applique.geometry.rings import FillRule, resolve, rings_of
from applique.geometry.tangled import TangledError
from applique.model import Curve, Outline
from applique.report import counted
from applique.svg.shapes import curves_of
from applique.svg.tree import Drawn
from applique.units import FURTHEST_MM

Place = tuple[float, float]


@dataclass(frozen=True)
class Trouble:
    """Why a shape is no outline, or what was done to make it one."""

    code: str
    message: str
    place: Place | None = None
    fatal: bool = True


@dataclass(frozen=True, eq=False)
class Traced:
    """An outline (None if there is none) and what was found on the way."""

    outline: Outline | None
    troubles: tuple[Trouble, ...]


def trace(shapes: list[Drawn]) -> Traced:
    """The outline of one piece, drawn by one or more shapes of one fill rule.

    An open path, numbers that are not finite and shapes without area are fatal; a crossing is
    resolved by the fill rule and told, open sub-paths among others are closed as the fill does it.
    """
    curves, trouble = curves_in_mm(shapes)
    if trouble is not None:
        return Traced(None, (trouble,))
    return outline_of(curves, rule_of(shapes))


def rule_of(shapes: list[Drawn]) -> FillRule:
    """The fill rule of the shapes of one piece."""
    return "evenodd" if shapes[0].look.fill_rule == "evenodd" else "nonzero"


def curves_in_mm(shapes: list[Drawn]) -> tuple[list[Curve], Trouble | None]:
    """The curves that shapes draw, in mm on the page; or why they can't be read."""
    curves: list[Curve] = []
    for shape in shapes:
        if shape.fault:
            return [], Trouble("unreadable", f"{shape.fault}; mend or remove it")
        try:
            drawn = curves_of(shape.element, shape.viewport)
        except ValueError as problem:
            text = f"{problem}; draw the shape again or mend its data"
            return [], Trouble("unreadable", text)
        with np.errstate(over="ignore", invalid="ignore"):
            curves.extend(transformed(curve, shape.matrix) for curve in drawn)
    return curves, None


def made_clean(curves: list[Curve]) -> tuple[list[Curve], Trouble | None]:
    """Curves without specks, closed where their ends meet; or that they lie too far away."""
    if not all(np.abs(curve.segments).max(initial=0.0) <= FURTHEST_MM for curve in curves):
        text = f"reaches {FURTHEST_MM / 1000:g} m or more from the page; check its transforms"
        return [], Trouble("too-far", text)
    return [_joined(curve) for curve in curves if _extent(curve) > FLATNESS_MM], None


def outline_of(curves: list[Curve], rule: FillRule) -> Traced:
    """The outline that curves in mm enclose by a fill rule."""
    curves, trouble = made_clean(curves)
    if trouble is not None:
        return Traced(None, (trouble,))
    gaps = [curve for curve in curves if not curve.closed]
    if gaps and len(curves) == 1:
        return Traced(None, (_gap(gaps[0]),))
    told = (_filled_across(gaps),) if gaps else ()
    curves = [_closed(curve) for curve in curves]
    rings = [flatten(curve) for curve in curves]
    try:
        resolved = resolve(rings, rule)
    except TangledError as problem:
        return _failed("tangled", str(problem))
    if resolved.shape.is_empty:
        return _failed("no-area", "encloses no area; draw it anew or remove it")
    if resolved.crossing is None:
        kept = tuple(
            _directed(curves[k], rings[k], ring)
            for k, ring in zip(resolved.origin, rings_of(resolved.shape), strict=True)
            if k is not None
        )
        return Traced(Outline(resolved.shape, kept), told)
    crossed = Trouble(
        "self-crossing",
        f"the outline crosses or touches itself; it was resolved by the {rule} fill rule",
        resolved.crossing,
        fatal=False,
    )
    return Traced(Outline(resolved.shape), (*told, crossed))


def open_gap(curve: Curve) -> tuple[float, Place]:
    """How far the ends of an open curve lie apart, in mm, and the place between them."""
    first, last = curve.segments[0, 0], curve.segments[-1, 3]
    middle = (first + last) / 2
    return float(np.hypot(*(last - first))), (float(middle[0]), float(middle[1]))


def _failed(code: str, message: str) -> Traced:
    return Traced(None, (Trouble(code, message),))


def _gap(curve: Curve) -> Trouble:
    gap, place = open_gap(curve)
    return Trouble(
        "open-path",
        f"the path is open, its ends lie {gap:.2f} mm apart; join them with the node tool",
        place,
    )


def _filled_across(gaps: list[Curve]) -> Trouble:
    """Tells of open sub-paths among others that a fill closes (SVG 2, section 13.4.1)."""
    widest = max(gaps, key=lambda curve: open_gap(curve)[0])
    gap, place = open_gap(widest)
    text = (
        f"{counted(len(gaps), 'open sub-path was', 'open sub-paths were')} closed straight across, "
        f"as the fill shows it, over {gap:.2f} mm at most; join the ends if that is not the shape"
    )
    return Trouble("open-path", text, place, fatal=False)


def _closed(curve: Curve) -> Curve:
    """A curve with a straight segment across its gap, if it has one."""
    if curve.closed:
        return curve
    first, last = curve.segments[0, 0], curve.segments[-1, 3]
    across = last + (first - last) * (np.arange(4) / 3)[:, None]
    segments = np.concatenate([curve.segments, across[None]])
    return Curve(segments, np.append(curve.straight, True), closed=True)


def _joined(curve: Curve) -> Curve:
    """An open curve whose ends meet within the flattening error counts as closed."""
    if curve.closed or len(curve.segments) < 2 or open_gap(curve)[0] > FLATNESS_MM:
        return curve
    segments = curve.segments.copy()
    segments[-1, 3] = segments[0, 0]
    return Curve(segments, curve.straight, closed=True)


def _extent(curve: Curve) -> float:
    return float(np.ptp(curve.segments.reshape(-1, 2), axis=0).max(initial=0.0))


def _directed(curve: Curve, flat: np.ndarray, ring: np.ndarray) -> Curve:
    """The curve, walked in the direction of its ring in the shape."""
    same = (_signed_area(flat) > 0) == (_signed_area(ring) > 0)
    return curve if same else reversed_curve(curve)


def _signed_area(ring: np.ndarray) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) / 2
