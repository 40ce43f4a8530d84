"""What a picture shows: steps and fabrics, in the order in which they come to lie there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.model import Step
from applique.pictures.canvas import Area, area_round
from applique.pictures.swatches import FabricPrint
from applique.units import FURTHEST_MM

MARGIN_MM = 5.0
"""How much of the background is shown round everything."""

_NOTHING_MM = 20.0
"""Side of the picture of an empty block."""


@dataclass(frozen=True, eq=False)
class FabricShape:
    """A piece of fabric as it lies in the end (trimmed, if it is cut in the hoop), in mm on the
    page. `colour` is #rrggbb; `label` is the piece's. Where the `fabric_print` is known, it shows
    instead of the colour."""

    label: str
    colour: str
    shape: BaseGeometry
    fabric_print: FabricPrint | None = None


@dataclass(frozen=True, eq=False)
class Stitches:
    """Thread of one step: straight stitches from `starts` to `ends`, (n, 2) arrays of mm."""

    colour: str
    starts: np.ndarray
    ends: np.ndarray


Layer = FabricShape | Stitches


@dataclass(frozen=True, eq=False)
class Scene:
    """A block to be pictured: its `steps` and `fabrics` (in stacking order) on a `background`,
    #rrggbb, or on a print of it."""

    background: str
    steps: Sequence[Step]
    fabrics: Sequence[FabricShape]
    background_print: FabricPrint | None = None

    @cached_property
    def layers(self) -> list[Layer]:
        """What lies on the background, the first undermost."""
        return layers_of(self.steps, self.fabrics)

    @cached_property
    def area(self) -> Area:
        """The area that shows everything, with a margin."""
        return area_of(self.steps, self.fabrics)


def layers_of(steps: Sequence[Step], fabrics: Sequence[FabricShape]) -> list[Layer]:
    """Fabrics and stitches in the order in which they come to lie on the block.

    A fabric is laid ahead of its piece's first step that is no placement line. What has no such
    step is laid after its placement line, and what is not sewn at all lies beneath everything.
    """
    laid_at = _laid_at(steps)
    layers: list[Layer] = [fabric for fabric in fabrics if fabric.label not in laid_at]
    by_place: dict[int, list[FabricShape]] = {}
    for fabric in fabrics:
        if fabric.label in laid_at:
            by_place.setdefault(laid_at[fabric.label], []).append(fabric)
    for index, stitches in enumerate(_stitches(steps)):
        layers.extend(by_place.get(index, ()))
        layers.append(stitches)
    layers.extend(by_place.get(len(steps), ()))
    return layers


def _laid_at(steps: Sequence[Step]) -> dict[str, int]:
    """Ahead of which step each piece's fabric is laid."""
    first: dict[str, int] = {}
    placed: dict[str, int] = {}
    for index, step in enumerate(steps):
        if not step.piece or step.kind == "travel":
            continue
        if step.kind == "placement":
            placed[step.piece] = index + 1
        else:
            first.setdefault(step.piece, index)
    return placed | first


def _stitches(steps: Sequence[Step]) -> list[Stitches]:
    """The stitches of every step, the one that leads over from the path before included."""
    found = []
    before: np.ndarray | None = None
    thread = None
    for step in steps:
        if step.thread != thread:
            before = None
        lines = []
        for path, link in zip(step.paths, step.links, strict=True):
            lines.append(path if before is None else np.vstack([before, path]))
            before = path[-1:] if link == "run" else None
        starts = [line[:-1] for line in lines] or [np.zeros((0, 2))]
        ends = [line[1:] for line in lines] or [np.zeros((0, 2))]
        found.append(Stitches(step.thread.colour, np.vstack(starts), np.vstack(ends)))
        thread = step.thread
        if step.pause:
            before = None
    return found


def area_of(steps: Sequence[Step], fabrics: Sequence[FabricShape]) -> Area:
    """The area that shows everything, with a margin."""
    bounds = [fabric.shape.bounds for fabric in fabrics if not fabric.shape.is_empty]
    points = [path for step in steps for path in step.paths if len(path)]
    if points:
        everything = np.vstack(points)
        bounds.append((*everything.min(axis=0).tolist(), *everything.max(axis=0).tolist()))
    if not bounds:
        return Area(0.0, 0.0, _NOTHING_MM, _NOTHING_MM)
    corners = np.array(bounds)
    left, top = np.clip(corners[:, :2].min(axis=0), -FURTHEST_MM, FURTHEST_MM).tolist()
    right, bottom = np.clip(corners[:, 2:].max(axis=0), -FURTHEST_MM, FURTHEST_MM).tolist()
    return area_round((left, top, right, bottom), MARGIN_MM)


def label_places(layers: Sequence[Layer], area: Area) -> list[tuple[str, tuple[float, float]]]:
    """Where to write each piece's label, in mm: the middle of the widest place of it that shows
    within the area. What is covered has no place."""
    frame = shapely.box(area.left, area.top, area.left + area.width, area.top + area.height)
    above: BaseGeometry = shapely.Polygon()
    places = []
    for fabric in reversed([layer for layer in layers if isinstance(layer, FabricShape)]):
        shown = fabric.shape.intersection(frame).difference(above)
        above = above.union(fabric.shape)
        parts = [part for part in shapely.get_parts(shown) if part.area > 0]
        if parts:
            middle = shapely.maximum_inscribed_circle(max(parts, key=_area), 0.2)
            x, y = middle.coords[0]
            places.append((fabric.label, (float(x), float(y))))
    return places[::-1]


def _area(shape: BaseGeometry) -> float:
    return float(shape.area)
