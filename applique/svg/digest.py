"""Fingerprints: does a step still fit its piece, and has somebody edited it by hand?

`digest` covers all that a piece's stitches are made from. `made` covers the stitches as they stand
in the file. Both are taken from whole numbers, so that rewriting a file does not change them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import SNAP_MM, rings_of
from applique.model import Laid, LaidDetail, LaidPiece
from applique.settings import SPECS
from applique.table import DETAIL_GROUP

GENERATOR = "5"
"""Raised whenever the same piece would be sewn with other stitches, so that old steps count as
stale."""

_LENGTH = 16


_DETAIL_SETTINGS = ("pull-compensation", "run-on", "tie-length")
"""Settings beside its own group that a detail's stitches are made from."""


def digest_of(laid: Laid) -> str:
    """The fingerprint of a piece's outline, its cut and visible edge, its thread and settings; or
    of what is sewn of a detail."""
    return _of_detail(laid) if isinstance(laid, LaidDetail) else _of_piece(laid)


def _of_piece(laid: LaidPiece) -> str:
    piece = laid.piece
    digest = hashlib.sha256(f"{GENERATOR} {piece.thread.colour} {piece.thread.name}".encode())
    for name, value in sorted(piece.settings.as_strings().items()):
        if SPECS[name].group == DETAIL_GROUP:
            continue
        if SPECS[name].scope == "piece" or name == "edges":
            digest.update(f"{name}={value};".encode())
    shapes: tuple[BaseGeometry, ...] = (piece.outline.shape, laid.cut, _meeting(laid))
    for shape in shapes:
        for ring in rings_of(shape):
            _add(digest, ring)
    for run in laid.edges:
        digest.update(b"closed" if run.closed else b"open")
        _add(digest, run.points)
    return digest.hexdigest()[:_LENGTH]


def _of_detail(laid: LaidDetail) -> str:
    detail = laid.detail
    thread = detail.thread
    digest = hashlib.sha256(f"{GENERATOR} {thread.colour} {thread.name} {detail.style}".encode())
    for name, value in sorted(detail.settings.as_strings().items()):
        spec = SPECS[name]
        if name in _DETAIL_SETTINGS or (spec.group == DETAIL_GROUP and spec.scope == "piece"):
            digest.update(f"{name}={value};".encode())
    for ring in rings_of(laid.shape):
        _add(digest, ring)
    for line in laid.lines:
        digest.update(b"closed" if line.closed else b"open")
        _add(digest, line.points)
    return digest.hexdigest()[:_LENGTH]


def made_of(paths: Iterable[np.ndarray], digits: int) -> str:
    """The fingerprint of stitches as written: (n, 2) arrays in user units with so many decimals."""
    digest = hashlib.sha256()
    for path in paths:
        digest.update(b"M")
        digest.update(np.round(path * 10.0**digits).astype("<i8").tobytes())
    return digest.hexdigest()[:_LENGTH]


def _add(digest: hashlib._Hash, points: np.ndarray) -> None:
    """Add points rounded to 0.01 mm. They are put on the 0.001 mm grid of outlines first, so that
    a value drawn just between two hundredths always goes the same way."""
    thousandths = np.round(points / SNAP_MM).astype("<i8")
    digest.update(b"ring")
    digest.update((thousandths // 10).tobytes())


def _meeting(laid: LaidPiece) -> BaseGeometry:
    """Where the pieces above come within reach of this piece's edge stitches."""
    if laid.above.is_empty or not laid.edges:
        return shapely.Polygon()
    settings = laid.piece.settings
    reach = max(settings.edge_outside_mm, settings.edge_inside_mm) + settings.pull_compensation_mm
    lines = [
        shapely.linearrings(run.points) if run.closed else shapely.linestrings(run.points)
        for run in laid.edges
    ]
    band = shapely.buffer(shapely.union_all(lines), reach, quad_segs=2)
    return shapely.intersection(laid.above, band)
