"""Stages beside general-purpose libraries that do the same or nearly the same, in the same run.

`python -m tests.benchmarks.peers [--pieces 400]` takes a block of so many pieces. svgelements reads
the drawing and gives its paths under their transforms, and neither flattens nor cleans them as we
do. The machine library reads a stitch file, which we tell of as well. scikit-image finds the medial
axis of each piece at 0.1 mm a pixel, as we do from points 0.4 mm apart on its outline. Curves are
fitted, and outlines simplified by shapely, within the same distance of the same points; a cubic and
a straight side count as one node each. No goals are set: we do more, or other things. Export,
tracers, nesting and ways have peers in their own suites, with goals.
"""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Callable, Iterator, Sequence

import numpy as np
import pyembroidery
import shapely
import svgelements
from lxml import etree
from shapely import MultiPolygon
from skimage.draw import polygon2mask
from skimage.morphology import medial_axis

from applique.export.inspecting import inspect_file
from applique.export.machine import machine_file
from applique.export.reading import read_machine
from applique.geometry.fit import FIT_MM, fit_ring
from applique.geometry.medial import medial_reach
from applique.geometry.rings import rings_of
from applique.svg.read import read_block
from tests.benchmarks.blocks import grid_block
from tests.benchmarks.export import plan_of_block
from tests.benchmarks.figures import Figure, clocked, progress, run_alone

SUITE = "peers"
PIECES = 400
ROUNDS = 3
LOOKED_AT = 12
"""Pieces whose medial axis is found; there are four shapes."""

_APART_MM, _REACH_MM, _MM_PER_PX = 0.4, 30.0, 0.1


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """Each stage against its peer."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("--pieces", type=int, default=PIECES)
    pieces = parser.parse_args(words).pieces
    root = grid_block(pieces)
    shapes = [piece.outline.shape for piece in read_block(root).block.pieces]
    yield reading(etree.tostring(root), pieces)
    yield telling(grid_block(min(pieces, 100)))
    yield axis(shapes[:LOOKED_AT])
    yield nodes(shapes)


def _ratio(name: str, ours: Callable[[], object], theirs: Callable[[], object]) -> Figure:
    """Our seconds over theirs, the least of some runs in turn."""
    runs = [(clocked(ours), clocked(theirs)) for _ in range(ROUNDS)]
    own, other = (min(seconds) for seconds in zip(*runs, strict=True))
    progress(f"{name}: {own:.3f} s / {other:.3f} s")
    return Figure(SUITE, name, f"{own / other:.2f}")


def reading(data: bytes, pieces: int) -> Figure:
    """A drawing as a block against the same drawing as svgelements' paths."""

    def theirs() -> None:
        drawn = svgelements.SVG.parse(io.BytesIO(data), reify=True)
        for shape in drawn.select(lambda element: isinstance(element, svgelements.Shape)):
            svgelements.Path(shape).bbox()

    return _ratio(
        f"drawing of {pieces} pieces read / svgelements",
        lambda: read_block(etree.fromstring(data)),
        theirs,
    )


def telling(root: etree._Element) -> Figure:
    """A stitch file read and told of against the library's reading of it."""
    plan = plan_of_block(root)
    data = machine_file(plan, "pes").data
    return _ratio(
        f"{plan.stitch_count:,} stitches in PES read and told of / library's reading",
        lambda: inspect_file(read_machine(data, "pes"), ()),
        lambda: pyembroidery.read_pes(io.BytesIO(data)),
    )


def axis(shapes: Sequence[MultiPolygon]) -> Figure:
    """How far one may go inwards from points on outlines against medial axes of pictures."""

    def ours() -> None:
        for shape in shapes:
            (ring,) = rings_of(shape)
            around = shapely.linearrings(ring)
            arc = np.arange(0, around.length, _APART_MM)
            base, ahead = (
                shapely.get_coordinates(shapely.line_interpolate_point(around, arc + more))
                for more in (0, 1e-3)
            )
            along = (ahead - base) / np.hypot(*(ahead - base).T)[:, None]
            inward = np.stack([-along[:, 1], along[:, 0]], axis=1)
            medial_reach(base, inward, np.full(len(base), _REACH_MM), shape.boundary)

    def theirs() -> None:
        for shape in shapes:
            corner = np.array(shape.bounds[:2])
            pixels = (rings_of(shape)[0] - corner) / _MM_PER_PX
            size = np.ceil(pixels.max(axis=0)).astype(int) + 1
            medial_axis(polygon2mask(tuple(size), pixels), return_distance=True)

    return _ratio(f"medial axis of {len(shapes)} pieces / scikit-image's", ours, theirs)


def nodes(shapes: Sequence[MultiPolygon]) -> Figure:
    """Cubics and straight sides of cut lines against the corners that shapely's simplify leaves."""
    rings = [ring for shape in shapes for ring in rings_of(shape)]
    ours = sum(len(fit_ring(ring).segments) for ring in rings)
    simple = shapely.simplify([shapely.linearrings(ring) for ring in rings], FIT_MM)
    theirs = int(shapely.get_num_coordinates(simple).sum()) - len(rings)
    progress(f"nodes: {ours} / {theirs}")
    name = f"nodes within {FIT_MM} mm / shapely's simplify"
    return Figure(SUITE, name, f"{ours / theirs:.2f}")


if __name__ == "__main__":
    sys.exit(run_alone(figures))
