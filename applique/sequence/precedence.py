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
from shapely.geometry.base import BaseGeometry

from applique.layering.details import sewn_shape
from applique.layering.fabric import patch_of
from applique.model import Laid, LaidDetail

Before = Mapping[str, frozenset[str]]
"""For a piece's label the labels of those that come before it."""


@dataclass(frozen=True)
class Precedence:
    """`laying`: what must be laid and held down, and unless edges are sewn last finished too,
    before anything of a piece is done. `edges`: whose edges must be sewn before a piece's edge."""

    laying: Before
    edges: Before

    @property
    def everything(self) -> Before:
        """What comes before a piece either way."""
        return {
            label: lowers | self.edges.get(label, frozenset())
            for label, lowers in self.laying.items()
        }


def precedence(laid: Sequence[Laid]) -> Precedence:
    """The order that the pieces and details of a block, given in stacking order, force on each
    other. A detail meets what lies under its thread, the edges of pieces included."""
    labels = [item.part.label for item in laid]
    fabrics = np.array([_as_laid(item) for item in laid], dtype=object)
    outlines = np.array([_as_seen(item) for item in laid], dtype=object)
    reach = np.array([_reach_mm(item) for item in laid])
    tree = shapely.STRtree(fabrics)
    overlapping = tree.query(fabrics, predicate="intersects")
    reaching = tree.query(outlines, predicate="dwithin", distance=reach)
    fabric_pairs = np.hstack([overlapping, reaching])
    return Precedence(
        _by_label(fabric_pairs, labels), _by_label(_edge_pairs(outlines, reach, laid), labels)
    )


def _as_laid(item: Laid) -> BaseGeometry:
    """The fabric as it lies on the hoop when it is sewn down; or a detail's thread."""
    if isinstance(item, LaidDetail):
        return sewn_shape(item)
    return patch_of(item) if item.piece.settings.method == "cut-in-hoop" else item.cut


def _as_seen(item: Laid) -> BaseGeometry:
    """The outline from which an edge reaches outwards; or a detail's thread."""
    return sewn_shape(item) if isinstance(item, LaidDetail) else item.piece.outline.shape


def _reach_mm(item: Laid) -> float:
    return 0.0 if isinstance(item, LaidDetail) else item.piece.settings.edge_outside_mm


def _touch_mm(item: Laid) -> float:
    return 0.0 if isinstance(item, LaidDetail) else item.piece.settings.touch_mm


def _edge_pairs(outlines: np.ndarray, reach: np.ndarray, laid: Sequence[Laid]) -> np.ndarray:
    """Index pairs (2, n) of pieces whose edges can meet."""
    touch = np.array([_touch_mm(item) for item in laid])
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
