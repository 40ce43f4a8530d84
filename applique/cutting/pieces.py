"""Cut lines as they lie on the table before they are nested: face up or down, grain upright."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, cast

import numpy as np
from shapely import MultiPolygon

from applique.cutting.nested import Turn
from applique.errors import InputError
from applique.geometry.curves import flatten_closed, transformed
from applique.geometry.rings import resolve
from applique.geometry.tangled import TangledError
from applique.model import Curve, CutLine

Face = Literal["right", "wrong"]
"""Which side of the fabric lies up; with the wrong side up everything is mirrored."""

_FLATNESS_MM = 0.002
BEYOND_MM = 0.0025
"""How far the curves may lie outside the shapes that are nested: what chords leave out, and the
grid that their corners are snapped to."""

_UPRIGHT_DEGREES = 90.0


@dataclass(frozen=True, eq=False)
class CutPiece:
    """One line to be cut, as it lies unturned.

    `label` is the piece's in its block; `mark` is what stands on it and on the maps: the label or,
    where several blocks are cut together, the label after its block's letter. `curves` are closed,
    outer rings first; `shape` is what they enclose. `has_grain` says that a grain was asked for: it
    runs up. `writable` says that a pen may write on it, because its wrong side lies up or it is cut
    from card. `flat` and `clips` are open lines, (n, 2) arrays: where a template's side stays
    flat, and where a turned allowance is clipped.
    """

    label: str
    block: str
    mark: str
    kind: str
    fabric: str
    turn: Turn
    curves: tuple[Curve, ...]
    shape: MultiPolygon
    has_grain: bool = False
    writable: bool = False
    flat: tuple[np.ndarray, ...] = ()
    clips: tuple[np.ndarray, ...] = ()


def lying(line: CutLine, block: str, mark: str, face: Face) -> CutPiece:
    """A cut line as it lies on the table unturned.

    With the wrong side up, as fusible web lies with its paper up, it is mirrored; a template is in
    any case, because it is used on the back, and may be turned as one likes, because it is cut
    from card. Where turning is restricted, its grain stands upright: that of the block, or the one
    the fabric names.
    """
    is_template = line.kind == "template"
    mirrored = face == "wrong" or is_template
    turn = cast(Turn, "any" if is_template else line.turn)
    matrix = _upright(line.grain_degrees, turn, mirrored)
    if mirrored:
        matrix = matrix @ np.array([[-1.0, 0.0], [0.0, 1.0]])
    affine = np.hstack([matrix, np.zeros((2, 1))])
    curves = tuple(transformed(curve, affine) for curve in line.curves)
    try:
        shape = resolve(flatten_closed(curves, _FLATNESS_MM), "evenodd").shape
    except TangledError as problem:
        raise InputError(f"{line.piece}: its cut line {problem}") from None
    return CutPiece(
        label=line.piece,
        block=block,
        mark=mark,
        kind=line.kind,
        fabric=line.fabric,
        turn=turn,
        curves=curves,
        shape=shape,
        has_grain=line.grain_degrees is not None and not is_template,
        writable=mirrored,
        flat=_moved(line.flat, matrix),
        clips=_moved(line.clips, matrix),
    )


def _upright(grain_degrees: float | None, turn: Turn, mirrored: bool) -> np.ndarray:
    """The turn, a (2, 2) matrix, that sets a grain upright. Of a print with a top, a grain of 90
    degrees leaves the block's top up; a grain of 0 brings its left-hand side up."""
    degrees = _UPRIGHT_DEGREES if grain_degrees is None else grain_degrees
    if mirrored:
        degrees = 2 * _UPRIGHT_DEGREES - degrees
    if turn != "none":
        degrees %= 180.0
    quarters, rest = divmod(_UPRIGHT_DEGREES - degrees, 90.0)
    if rest == 0.0:  # Right angles without rounding.
        cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters) % 4]
    else:
        angle = np.radians(_UPRIGHT_DEGREES - degrees)
        cos, sin = float(np.cos(angle)), float(np.sin(angle))
    return np.array([[cos, -sin], [sin, cos]])


def _moved(lines: Sequence[np.ndarray], matrix: np.ndarray) -> tuple[np.ndarray, ...]:
    return tuple(line @ matrix.T for line in lines)
