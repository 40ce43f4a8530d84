"""This project's outlines beside those of general-purpose tracers, on the same made pages.

`python -m tests.benchmarks.tracers [--seed 9000] [--pages 4]` traces pages that nobody has looked
at with each tracer at its own defaults and tells every figure of this project and then, as peers,
those of the others. All but this project get its binary ink, potracer a window of it around each
piece; OpenCV's polygons keep within 1 px. To the ink, notches are left out. It needs
../shared/tools/make_scans.py and, for potracer and vtracer, the group `tracers`.
"""

from __future__ import annotations

import argparse
import re
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from importlib.util import find_spec
from itertools import pairwise
from typing import Any

import cv2
import numpy as np
import shapely

from applique.geometry.curves import flatten
from applique.model import Curve
from applique.trace.light import evened_out, ink_mask, paper_values
from applique.trace.page import Page
from applique.trace.pages import trace_page
from tests.benchmarks.figures import Figure, NotHereError, at_most, run_alone
from tests.trace.scans import ABSENT, GENERATOR, MadePage, TruePiece, generator, made_page

SUITE = "tracers"

_ALIKE, _NOTCH_PENS, _MARGIN_PENS = 0.7, 1.25, 2.0
_EVERY_MM, _FLAT_MM, _CORNER_MM = 0.05, 0.002, 0.3
_CORNER_TURN = np.radians(30.0)

Rings = list[Curve]


def _curve(segments: Sequence[object], mm_per_px: float, corner_px: Sequence[float]) -> Curve:
    """A closed curve in mm of cubics (n, 4, 2) in pixels from a corner of the page."""
    cubics = (np.array(segments, float) + np.array(corner_px, float)) * mm_per_px
    return Curve(cubics, np.zeros(len(cubics), bool), True)


def _line(start: Sequence[float], stop: Sequence[float]) -> list[np.ndarray]:
    """A straight line as a cubic."""
    first, last = np.array(start, float), np.array(stop, float)
    return [first, (2 * first + last) / 3, (first + 2 * last) / 3, last]


def _ink(made: MadePage) -> np.ndarray:
    """The binary picture that all other tracers get, 1 for ink."""
    grey = evened_out(made.grey)
    return ink_mask(grey, paper_values(grey, made.mm_per_px))


def project_rings(made: MadePage) -> Rings:
    """The outlines of this project, from the page's grey picture."""
    page = Page(made.name, made.grey, made.mm_per_px)
    return [template.curve for template in trace_page(page).templates]


def potracer_rings(made: MadePage) -> Rings:
    """Rings by potracer, from a window of the page around each true piece, as it is slow."""
    from potrace import Bitmap

    mask, rings = _ink(made), []
    for piece in made.pieces:
        margin_mm = _MARGIN_PENS * piece.pen_mm
        low = ((piece.template.min(axis=0) - margin_mm) / made.mm_per_px).astype(int).clip(0)
        high = ((piece.template.max(axis=0) + margin_mm) / made.mm_per_px).astype(int)
        # It takes False for ink.
        for ring in Bitmap(mask[low[1] : high[1], low[0] : high[0]] == 0).trace():
            at, segments = (ring.start_point.x, ring.start_point.y), []
            for part in ring.segments:
                inner = [part.c] if part.is_corner else [part.c1, part.c2]
                path = [at, *((place.x, place.y) for place in [*inner, part.end_point])]
                segments += [_line(*ends) for ends in pairwise(path)] if part.is_corner else [path]
                at = path[-1]
            rings.append(_curve(segments, made.mm_per_px, low))
    return rings


def vtracer_rings(made: MadePage) -> Rings:
    """Rings by vtracer's splines, from the whole page."""
    from vtracer import convert_raw_image_to_svg

    picture = cv2.imencode(".png", (1 - _ink(made)) * 255)[1].tobytes()
    svg = convert_raw_image_to_svg(picture, img_format="png", colormode="binary", mode="spline")
    rings = []
    for path, x, y in re.findall(r' d="([^"]*)".*?translate\(([^,]*),([^)]*)\)', svg):
        for told in re.findall(r"M([^MZ]*)Z", path):
            points = np.array(re.findall(r"-?[\d.]+(?:e-?\d+)?", told), float).reshape(-1, 2)
            assert set(re.findall(r"[A-Z]", told)) == {"C"}, "vtracer's splines are cubics alone"
            segments = np.stack([points[k : len(points) - 3 + k : 3] for k in range(4)], axis=1)
            rings.append(_curve(segments, made.mm_per_px, (float(x), float(y))))
    return rings


def opencv_rings(made: MadePage) -> Rings:
    """Polygons by OpenCV's approxPolyDP around the holes in the ink, from the whole page. Its
    contours run through the middles of pixels of ink, so they are moved in by half a pixel."""
    contours, nesting = cv2.findContours(_ink(made), cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    holes = [contours[k][:, 0] for k in np.flatnonzero(nesting[0, :, 3] >= 0)]
    rings = []
    for hole in (shapely.Polygon(around) for around in holes if len(around) > 3):
        for part in shapely.get_parts(hole.buffer(-0.5, join_style="mitre")):
            around = shapely.get_coordinates(part.exterior)[:-1, None].astype(np.float32)
            corners = cv2.approxPolyDP(around, 1.0, True)[:, 0]
            sides = [_line(*ends) for ends in zip(corners, np.roll(corners, -1, 0), strict=True)]
            if len(sides) > 2:
                rings.append(_curve(sides, made.mm_per_px, (0.5, 0.5)))
    return rings


OURS = "this project"

TRACERS: dict[str, tuple[str, Callable[[MadePage], Rings]]] = {
    OURS: ("applique", project_rings),
    "potracer": ("potrace", potracer_rings),
    "vtracer": ("vtracer", vtracer_rings),
    "OpenCV": ("cv2", opencv_rings),
}
"""The tracers by name: the module that each needs, and what gives its rings."""

Tally = defaultdict[str, list[Any]]
"""What was counted of one tracer, by piece or by ring; errors are arrays of mm, one a ring."""


def tally_page(tally: Tally, rings: Rings, pieces: Sequence[TruePiece]) -> None:
    """Count the ring that is most like each piece, where there is one."""
    shapes = [shapely.Polygon(flatten(ring, _FLAT_MM)).buffer(0) for ring in rings]
    tree = shapely.STRtree(shapes)
    for piece in pieces:
        whole = shapely.Polygon(piece.template).buffer(0)
        near = tree.query(whole, predicate="intersects")
        alike = [shapes[k].intersection(whole).area / shapes[k].union(whole).area for k in near]
        given = max(alike, default=0.0) > _ALIKE
        tally["given"].append(given)
        if piece.gap_mm:
            tally["gaps"].append(given)
        if given:
            _tally_ring(tally, rings[near[np.argmax(alike)]], piece, whole)


def _tally_ring(tally: Tally, ring: Curve, piece: TruePiece, whole: shapely.Polygon) -> None:
    line = shapely.linearrings(flatten(ring, _FLAT_MM))
    places = np.arange(0, line.length, _EVERY_MM)
    drawn = shapely.get_coordinates(shapely.line_interpolate_point(line, places))
    # A nib doesn't reach into a notch, so that the ink is no measure there.
    around = [shapely.Point(place).buffer(1.0) for place in piece.corners]
    inward = [disc.intersection(whole).area > disc.area / 2 for disc in around]
    notches = piece.corners[np.array(inward, bool)]
    away = drawn[(_apart(drawn, notches) > _NOTCH_PENS * piece.pen_mm).all(axis=1)]
    off = shapely.distance(shapely.points(away), shapely.linearrings(piece.inner))
    tally["ink"].append(off)
    if not piece.gap_mm and not piece.touched:
        inside = shapely.contains_xy(shapely.Polygon(piece.inner).buffer(0), away)
        tally["clean"].append(np.where(inside, off, -off))
    tally["template"].append(shapely.distance(shapely.points(drawn), whole.exterior))
    tally["nodes"].append(len(ring.segments))
    near = _apart(_turning_nodes(ring), piece.corners) <= _CORNER_MM
    tally["kept"].extend(near.any(axis=0).tolist())
    tally["others"].append(int((~near.any(axis=1)).sum()))


def figures_of(tally: Tally) -> dict[str, str]:
    """What was measured, by the names of the figures."""
    clean, template = np.concatenate(tally["clean"]), np.concatenate(tally["template"])
    return {
        "closed rings given, of the pieces": f"{sum(tally['given'])} of {len(tally['given'])}",
        **_errors("to the ink, mm", np.concatenate(tally["ink"])),
        **_errors("untouched, mm", np.abs(clean)),
        "untouched, mean, + into the piece": f"{clean.mean():+.4f}",
        "to the template, mm, RMS": f"{np.sqrt(np.mean(template**2)):.4f}",
        "nodes an outline, median": f"{np.median(tally['nodes']):.0f}",
        "gaps closed": f"{sum(tally['gaps'])} of {len(tally['gaps'])}",
        "corners kept": f"{100 * np.mean(tally['kept']):.1f} %",
        "other nodes as sharp, an outline": f"{np.mean(tally['others']):.1f}",
        "s a page, median": f"{np.median(tally['seconds']):.2f}",
    }


def _errors(name: str, off: np.ndarray) -> dict[str, str]:
    told = {"RMS": np.sqrt(np.mean(off**2)), "p95": np.quantile(off, 0.95), "max": off.max()}
    return {f"{name}, {figure}": f"{value:.4f}" for figure, value in told.items()}


def _apart(points: np.ndarray, places: np.ndarray) -> np.ndarray:
    """The distances (n, m) from points (n, 2) to places (m, 2)."""
    return np.linalg.norm(points[:, None] - places[None], axis=2)


def _turning_nodes(ring: Curve) -> np.ndarray:
    """The nodes (n, 2) where a ring turns by as much as a corner must."""
    # The ways, x + iy, that it goes in the first hundredth of each cubic: handles may be missing.
    weights = np.array([3 * 0.99**2 * 0.01, 3 * 0.99 * 0.01**2, 0.01**3])
    both = np.stack([ring.segments, ring.segments[:, ::-1]])
    after, back = weights @ (both[:, :, 1:] - both[:, :, :1]) @ np.array([1, 1j])
    turns = np.abs(np.angle(after * np.roll(-back, 1).conj()))
    return ring.segments[turns > _CORNER_TURN, 0]


MEASURES: dict[str, Callable[[Tally], float]] = {
    "untouched, RMS": lambda tally: float(np.sqrt(np.mean(np.concatenate(tally["clean"]) ** 2))),
    "nodes an outline, median": lambda tally: float(np.median(tally["nodes"])),
    "corners not kept": lambda tally: 1 - float(np.mean(tally["kept"])),
}
"""What this project must do at least as well as each of the others; less is better."""


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """Every figure of this project with those of each tracer that is there."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("--seed", type=int, default=9000)
    parser.add_argument("--pages", type=int, default=4)
    arguments = parser.parse_args(words)
    if not GENERATOR.exists():
        raise NotHereError(ABSENT)
    tallies = {name: Tally(list) for name, (module, _) in TRACERS.items() if find_spec(module)}
    make = generator()
    for seed in range(arguments.seed, arguments.seed + arguments.pages):
        made = made_page(make, seed, 300, ("letter", "a4")[seed % 2], "scan", "normal")
        for name, tally in tallies.items():
            started = time.perf_counter()
            rings = TRACERS[name][1](made)
            tally["seconds"].append(time.perf_counter() - started)
            tally_page(tally, rings, made.pieces)
    columns = {name: figures_of(tally) for name, tally in tallies.items()}
    own, others = columns.pop(OURS), [name for name in tallies if name != OURS]
    for figure, told in own.items():
        peers = ", ".join(f"{name} {column[figure]}" for name, column in columns.items())
        yield Figure(SUITE, figure, f"{told} ({peers})")
    for figure, measure in MEASURES.items():
        best = min(measure(tallies[name]) for name in others)
        yield at_most(SUITE, f"{figure} / best of the others", measure(tallies[OURS]) / best, 1)
    for name in (name for name in TRACERS if name not in tallies):
        yield Figure(SUITE, name, "not run: the group `tracers` is not installed")


if __name__ == "__main__":
    sys.exit(run_alone(figures))
