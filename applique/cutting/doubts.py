"""What about the cut lines deserves a second look before a blade or scissors follow them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import shapely
from shapely import LinearRing, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from applique.cutting.pieces import CutPiece
from applique.geometry.curves import flatten_closed
from applique.geometry.rings import crossing_of, polygons_of, snapped
from applique.geometry.width import narrower_than, widest_mm
from applique.report import Finding, error, warning

NARROWEST_BRIDGE_MM = 3.0
"""Fabric that joins two larger parts by less frays and tears when it is lifted (common practice,
from memory)."""

NARROWEST_PIECE_MM = 6.0
SMALLEST_PIECE_MM2 = 100.0
"""Pieces of a narrower side, or of less than a square centimetre, are hard to cut and to handle
(common practice)."""

WIDER = 1.5
"""A part is larger than a bridge if it is so many times as wide somewhere; what is not is a tip
that wavers."""

MOST_LIKE_EACH_OTHER = 5
_MOST_NAMED = 8
"""So many warnings of one kind are read one by one, and so many labels in a row; what is more is
counted."""

_FLATNESS_MM = 0.001
_SIMPLER_MM = 0.005
"""Outlines are made so much simpler before bridges are looked for: many nodes take long."""

_HALVINGS = 9
_KNOWN_WITHIN = 0.01
"""A bridge is measured within a hundredth of a millimetre, and parts are found again as exactly."""

_OVERREACH_MM = 0.05
"""What chords instead of arcs leave of a wavy edge when it is shrunk and grown again."""

_AROUND_MM = 5.0
"""A neck lies no further than two radii of the largest bridge from where its two sides meet."""

Neck = tuple[float, np.ndarray]
"""How wide it is in mm, and its place (2,)."""


def doubts_of(pieces: Sequence[CutPiece]) -> list[Finding]:
    """Cut lines that cross themselves, as errors; thin bridges and small pieces, as warnings.

    Copies of a piece are told of once. Places are told by where they lie in the unturned piece.
    Figures are rounded down.
    """
    once = {(piece.block, piece.label, piece.kind): piece for piece in pieces}
    return [finding for piece in once.values() for finding in _doubts(piece)]


def gathered(findings: Sequence[Finding], most: int = MOST_LIKE_EACH_OTHER) -> list[Finding]:
    """Findings with no more than `most` warnings of each code; one more, after the last of them,
    counts and names the rest. Errors and notes are kept."""
    alike: dict[str, list[Finding]] = {}
    kept: list[Finding] = []
    counted_at: dict[str, int] = {}
    for finding in findings:
        if finding.severity == "warning":
            same = alike.setdefault(finding.code, [])
            same.append(finding)
            if len(same) > most + 1:
                continue
            if len(same) == most + 1:
                counted_at[finding.code] = len(kept)
        kept.append(finding)
    for code, place in counted_at.items():
        message = _and_more(alike[code][most:])
        kept[place] = replace(kept[place], object="", message=message, place=None)
    return kept


def _and_more(rest: Sequence[Finding]) -> str:
    """`and 12 more like these: 3, 5, 8 and 4 more`; a label is named once."""
    labels = list(dict.fromkeys(finding.object for finding in rest if finding.object))
    named = ", ".join(labels[:_MOST_NAMED])
    left = len(labels) - _MOST_NAMED
    text = f"and {len(rest)} more like these"
    return text + (f": {named}" if named else "") + (f" and {left} more" if left > 0 else "")


def _doubts(piece: CutPiece) -> Iterator[Finding]:
    whose = "its template" if piece.kind == "template" else "it"
    crossing = _crossing(piece)
    if crossing is not None:
        where = _whereabouts(crossing, piece.shape)
        text = f"{whose} has a cut line that crosses or touches itself {where}; draw it apart there"
        yield error("cut-crossing", piece.mark, text)
        return
    for part in polygons_of(shapely.simplify(piece.shape, _SIMPLER_MM)):
        yield from _size_doubts(piece, part, whose)
        for width_mm, place in (*_walls(part), *_necks(Polygon(part.exterior))):
            where = _whereabouts(place, piece.shape)
            only = _below(width_mm, NARROWEST_BRIDGE_MM)
            text = (
                f"{whose} hangs together by only {only} mm {where}, which may tear; "
                "make it wider there, or two pieces of it"
            )
            yield warning("thin-bridge", piece.mark, text)


def _crossing(piece: CutPiece) -> np.ndarray | None:
    """A place (2,) where cut lines cross or touch, or None. To make a shape of them would tell, but
    takes a minute where thousands of nodes cross."""
    rings = [snapped(ring) for ring in flatten_closed(piece.curves, _FLATNESS_MM)]
    found = crossing_of([LinearRing(ring) for ring in rings if len(ring) >= 3])
    return None if found is None else np.array(found)


def _size_doubts(piece: CutPiece, part: Polygon, whose: str) -> Iterator[Finding]:
    across_mm = _narrow_side_mm(part)
    inner_mm = shapely.distance(shapely.point_on_surface(part), part.boundary)
    is_roomy = 2 * inner_mm > NARROWEST_BRIDGE_MM  # A quick yes spares shrinking all of it.
    if not is_roomy and narrower_than(part, NARROWEST_BRIDGE_MM):
        widest = _below(widest_mm(part), NARROWEST_BRIDGE_MM)
        text = f"{whose} is nowhere wider than {widest} mm, hard to cut and handle"
    elif across_mm < NARROWEST_PIECE_MM:
        across = _below(across_mm, NARROWEST_PIECE_MM)
        text = f"{whose} is only {across} mm across, hard to cut and handle"
    elif part.area < SMALLEST_PIECE_MM2:
        area = _below(part.area / 100, SMALLEST_PIECE_MM2 / 100)
        text = f"{whose} has only {area} cm2, hard to cut and handle"
    else:
        return
    yield warning("small-cut", piece.mark, f"{text}; make it larger, or embroider it")


def _below(value: float, limit: float) -> str:
    """A figure under its limit in tenths, rounded down: what is told is never the limit itself."""
    tenths = math.floor((value + _KNOWN_WITHIN) * 10)
    return f"{min(tenths, math.ceil(limit * 10) - 1) / 10:.1f}"


def _narrow_side_mm(part: Polygon) -> float:
    """The narrow side of the smallest rectangle round a shape, however it is turned."""
    corners = shapely.get_coordinates(shapely.oriented_envelope(part))
    return float(np.hypot(*np.diff(corners[:3], axis=0).T).min())


def _walls(part: Polygon) -> Iterator[Neck]:
    """The thin bridges between the rings of a polygon."""
    rings = np.array([part.exterior, *part.interiors], object)
    shapely.prepare(rings)
    pairs = STRtree(rings).query(rings, "dwithin", NARROWEST_BRIDGE_MM).T
    for k, other in sorted(pairs[pairs[:, 0] > pairs[:, 1]].tolist()):
        across = shapely.shortest_line(rings[k], rings[other])
        if across.length < NARROWEST_BRIDGE_MM:
            yield across.length, shapely.get_coordinates(across).mean(axis=0)


def _necks(solid: Polygon) -> Iterator[Neck]:
    """The thin bridges between the parts into which a shape without holes falls when it is shrunk
    by half the limit: each part's to larger ones, the widest first."""
    cores = polygons_of(_shrunk(solid, NARROWEST_BRIDGE_MM / 2))
    if len(cores) < 2:
        return
    cores.sort(key=lambda core: -core.area)
    links = [
        (width_mm, place, found[k], found[other])
        for around, found in _junctions(solid, cores)
        for width_mm, place, k, other in _links(around, [cores[index] for index in found])
    ]
    leads = list(range(len(cores)))
    for width_mm, place, one, other in sorted(links, key=lambda link: (-link[0], link[2:])):
        larger, smaller = sorted((_leader(leads, one), _leader(leads, other)))
        if larger != smaller:
            leads[smaller] = larger
            if NARROWEST_BRIDGE_MM + widest_mm(cores[smaller]) >= WIDER * width_mm:
                yield width_mm, place


def _leader(leads: list[int], k: int) -> int:
    """The largest of the cores that a core hangs together with so far."""
    while leads[k] != k:
        k = leads[k]
    return k


def _junctions(solid: Polygon, cores: list[Polygon]) -> Iterator[tuple[BaseGeometry, list[int]]]:
    """Where cores, grown again, overlap or leave something between them: the shape around there,
    and which cores meet."""
    grown = shapely.buffer(cores, NARROWEST_BRIDGE_MM / 2 + _OVERREACH_MM, quad_segs=8)
    tree = STRtree(grown)
    first, second = tree.query(grown, "intersects")
    overlaps = shapely.intersection(grown[first[first < second]], grown[second[first < second]])
    rest = np.array(polygons_of(shapely.difference(solid, shapely.union_all(grown))), object)
    meeting = np.bincount(tree.query(rest, "dwithin", _KNOWN_WITHIN)[0], minlength=len(rest))
    between = shapely.buffer([*overlaps, *rest[meeting > 1]], 2 * _KNOWN_WITHIN)
    for junction in polygons_of(shapely.union_all(between)):
        around = shapely.box(*shapely.buffer(junction.envelope, _AROUND_MM).bounds)
        yield shapely.intersection(solid, around), sorted(tree.query(junction, "intersects"))


def _links(
    around: BaseGeometry, cores: Sequence[Polygon]
) -> Iterator[tuple[float, np.ndarray, int, int]]:
    """For each of some cores but the largest, its neck to larger ones, as width and place, and the
    indices of the core and of one that it hangs together with there."""
    tree = STRtree(cores)

    @cache
    def shrunk(by_mm: float) -> tuple[np.ndarray, np.ndarray]:
        """The parts, and which of them (parts, cores) hold which cores."""
        parts = np.array(polygons_of(_shrunk(around, by_mm)), object)
        holds = np.zeros((len(parts), len(cores)), bool)
        holds[tuple(tree.query(parts, "dwithin", _KNOWN_WITHIN))] = True
        return parts, holds

    def joined(k: int, by_mm: float) -> np.ndarray:
        """The larger cores that core k still hangs together with."""
        holds = shrunk(by_mm)[1]
        return np.flatnonzero(holds[holds[:, k], :k].any(axis=0))

    for k in range(1, len(cores)):
        joined_mm, apart_mm = 0.0, NARROWEST_BRIDGE_MM / 2
        partners = joined(k, joined_mm)
        if not len(partners):
            continue
        for _ in range(_HALVINGS):
            middle = (joined_mm + apart_mm) / 2
            if len(now := joined(k, middle)):
                joined_mm, partners = middle, now
            else:
                apart_mm = middle
        parts, holds = shrunk(apart_mm)
        sides = (parts[holds[:, k]], parts[holds[:, partners].any(axis=1)])
        across = shapely.shortest_line(*map(shapely.multipolygons, sides))
        place = shapely.get_coordinates(across).mean(axis=0)
        yield joined_mm + apart_mm, place, k, int(partners[0])


def _shrunk(shape: BaseGeometry, by_mm: float) -> BaseGeometry:
    return shapely.buffer(shape, -by_mm, quad_segs=8)


def _whereabouts(place: np.ndarray, shape: BaseGeometry) -> str:
    """A place by thirds of the piece: `at its upper left`, `in its middle`."""
    left, top, right, bottom = shape.bounds
    size = np.maximum([right - left, bottom - top], 1e-9)
    third = np.clip((place - [left, top]) / size * 3, 0, 2).astype(int)
    words = (("upper", "", "lower")[third[1]], ("left", "", "right")[third[0]])
    named = " ".join(word for word in words if word)
    if not named:
        return "in its middle"
    return f"at its {named if words[1] else named + ' edge'}"
