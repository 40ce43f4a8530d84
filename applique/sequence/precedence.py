"""Which pieces come before which others.

Of two pieces that meet, the lower one comes first: its fabric is laid and its edge is sewn before
anything of the upper one lies on it. Pieces meet not only where they overlap: a patch is laid
larger than its piece, an underlap runs beneath a neighbour, an edge reaches outside its outline.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from applique.layering.fabric import patch_of
from applique.model import LaidPiece

Before = Mapping[str, frozenset[str]]
"""For a piece's label the labels of those that come before it."""


@dataclass(frozen=True)
class Precedence:
    """`laying`: what must be laid and held down, and unless edges are sewn last finished too,
    before anything of a piece is done. `edges`: whose edges must be sewn before a piece's edge."""

    laying: Before
    edges: Before


def precedence(laid: Sequence[LaidPiece]) -> Precedence:
    """The order that the pieces of a block, given in stacking order, force on each other."""
    labels = [item.piece.label for item in laid]
    fabrics = np.array([_as_laid(item) for item in laid], dtype=object)
    outlines = np.array([item.piece.outline.shape for item in laid], dtype=object)
    reach = np.array([item.piece.settings.edge_outside_mm for item in laid])
    tree = shapely.STRtree(fabrics)
    overlapping = tree.query(fabrics, predicate="intersects")
    reaching = tree.query(outlines, predicate="dwithin", distance=reach)
    fabric_pairs = np.hstack([overlapping, reaching])
    return Precedence(
        _by_label(fabric_pairs, labels), _by_label(_edge_pairs(outlines, reach, laid), labels)
    )


def _as_laid(item: LaidPiece) -> shapely.Geometry:
    """The fabric as it lies on the hoop when it is sewn down."""
    return patch_of(item) if item.piece.settings.method == "cut-in-hoop" else item.cut


def _edge_pairs(outlines: np.ndarray, reach: np.ndarray, laid: Sequence[LaidPiece]) -> np.ndarray:
    """Index pairs (2, n) of pieces whose edges can meet."""
    touch = np.array([item.piece.settings.touch_mm for item in laid])
    furthest = reach.max(initial=0.0)
    near = np.maximum(touch, reach + furthest)
    first, second = shapely.STRtree(outlines).query(outlines, predicate="dwithin", distance=near)
    exact = np.maximum(np.maximum(touch[first], touch[second]), reach[first] + reach[second])
    meets = shapely.dwithin(outlines[first], outlines[second], exact)
    return np.stack([first[meets], second[meets]])


def _by_label(pairs: np.ndarray, labels: Sequence[str]) -> dict[str, frozenset[str]]:
    """Pairs of indices (2, n), in either order, as what comes before each label."""
    before: dict[str, set[str]] = {label: set() for label in labels}
    for a, b in pairs.T.tolist():
        if a != b:
            before[labels[max(a, b)]].add(labels[min(a, b)])
    return {label: frozenset(found) for label, found in before.items()}
