"""Artwork to block, all stages on one page.

tree -> gather (paint, gradients) -> place -> parts (strokes) -> unseen, colours -> block
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from lxml import etree
from shapely import MultiPolygon

from applique.artwork.block import block_document
from applique.artwork.colours import palette_of
from applique.artwork.gather import Gathered, Shape, gather, page_curves
from applique.artwork.part import Part, closed_across, covered_by
from applique.artwork.parts import Choices, parts_of
from applique.artwork.place import Box, Placing, Wanted, around, box_of, placed
from applique.artwork.strokes import stroke_shape
from applique.artwork.told import Told
from applique.artwork.unseen import unseen
from applique.errors import InputError
from applique.model import Fabric, Outline
from applique.report import Finding, note
from applique.svg.read import covers_block
from applique.svg.transforms import apply, compose

MERGE_DELTA = 2.0
"""Colours nearer than this in CIELAB (CIE 1976) can hardly be told apart in fabric; about 2.3 is
a difference one just notices (docs/sources.md)."""


@dataclass(frozen=True)
class ImportRequest:
    """What is asked of an import: the artwork's size, the block's name and finished size in mm
    (None: by the artwork), what becomes of strokes and small shapes, and how near colours (CIE
    1976) share a fabric."""

    wanted: Wanted
    name: str = ""
    finished_mm: tuple[float, float] | None = None
    choices: Choices = field(default_factory=Choices)
    merge_delta: float = MERGE_DELTA


@dataclass(frozen=True, eq=False)
class Imported:
    """A block made of an artwork; `parts` in stacking order, as they are numbered."""

    tree: etree._ElementTree
    parts: tuple[Part, ...]
    background: Fabric | None
    placing: Placing
    findings: tuple[Finding, ...]


@dataclass(frozen=True, eq=False)
class _Layout:
    """Where everything goes: the shapes to be parts, each with what its stroke covers if that is to
    be a shape too (in mm on the block's page), and those that make the background."""

    shapes: tuple[tuple[Shape, MultiPolygon | None], ...]
    under: tuple[Shape, ...]
    placing: Placing


def import_artwork(root: etree._Element, request: ImportRequest) -> Imported:
    """Make a block of any artwork, which is left as it is.

    Raises InputError if it has no shape that could be a piece, UsageError if the size asked for
    makes it larger than any block.
    """
    told = Told()
    layout = _laid_out(gather(root, told), request, told)
    parts = [
        part
        for shape, outlined in layout.shapes
        for part in parts_of(shape, outlined, request.choices, told)
    ]
    if not parts:
        raise InputError(_NO_SHAPE, told.findings())
    ground = [shape.fill or "" for shape in layout.under[-1:]]
    # Fabrics are named first, so that threads take no name from them.
    by_use = sorted(parts, key=lambda part: bool(part.detail))
    palette = palette_of([*ground, *(part.colour for part in by_use)], request.merge_delta)
    background = palette.fabrics[ground[0]] if ground else None
    tree = block_document(request.name, parts, palette.fabrics, background, layout.placing)
    findings = (
        *told.findings(),
        *_background_told(layout.under, background),
        *_unseen_told(parts),
        *_beyond_told(layout.placing),
        *palette.findings,
    )
    return Imported(tree, tuple(parts), background, layout.placing, findings)


_NO_SHAPE = (
    "no filled shape was found that could be a piece; give closed paths a fill, or make shapes of "
    "the strokes with --strokes outline"
)


def _laid_out(gathered: Gathered, request: ImportRequest, told: Told) -> _Layout:
    """Everything brought to its size and place. It is first enlarged so that lengths mean about
    what they will on the block: what strokes cover is reckoned there, and only then is it known
    how large the whole is."""
    shapes = gathered.shapes
    outlining = request.choices.strokes == "outline"
    if not any(shape.fill is not None or outlining for shape in shapes):
        raise InputError(_NO_SHAPE, told.findings())
    drawn = box_of([curve for shape in shapes for curve in page_curves(shape)])
    if max(drawn[2] - drawn[0], drawn[3] - drawn[1]) <= 0:
        raise InputError(_NO_SHAPE, told.findings())
    scale = request.wanted.scale_for(drawn)
    enlarged = np.array([[scale, 0.0, 0.0], [0.0, scale, 0.0]])
    outlines = [_outlined(shape, enlarged) if outlining else None for shape in shapes]
    boxes = [outline.bounds for outline in outlines if outline is not None and not outline.is_empty]
    left, top, right, bottom = (side * scale for side in drawn)
    whole = around([(left, top, right, bottom), *boxes])
    under = _backgrounds(shapes, enlarged, _seen(whole, gathered.page_mm, scale))
    picture = box_of(page_curves(under[-1])) if under else whole
    placing = placed(picture, request.wanted, request.finished_mm, bool(under))
    matrix = compose(placing.matrix, enlarged)
    return _Layout(
        tuple(
            (_moved(shape, matrix), _moved_outline(outline, placing.matrix))
            for shape, outline in zip(shapes[len(under) :], outlines[len(under) :], strict=True)
        ),
        tuple(under),
        placing,
    )


def _moved(shape: Shape, matrix: np.ndarray) -> Shape:
    return replace(shape, matrix=compose(matrix, shape.matrix))


def _moved_outline(outline: MultiPolygon | None, matrix: np.ndarray) -> MultiPolygon | None:
    if outline is None:
        return None
    return shapely.transform(outline, lambda points: apply(matrix, points))


def _outlined(shape: Shape, enlarged: np.ndarray) -> MultiPolygon | None:
    """What the stroke of a shape covers, None if it has none."""
    if shape.stroke is None:
        return None
    return stroke_shape(shape.curves, shape.stroke, compose(enlarged, shape.matrix))


def _seen(whole: Box, page_mm: tuple[float, float] | None, scale: float) -> Box:
    """What of the artwork's box lies on its page: what sticks out beyond is not seen."""
    if page_mm is None:
        return whole
    right, bottom = page_mm[0] * scale, page_mm[1] * scale
    return max(whole[0], 0.0), max(whole[1], 0.0), min(whole[2], right), min(whole[3], bottom)


def _backgrounds(shapes: Sequence[Shape], enlarged: np.ndarray, seen: Box) -> list[Shape]:
    """The shapes at the bottom, enlarged, that cover all that is seen of the artwork; the topmost
    of them is its background. The last shape of all is never among them: something must be left
    to sew."""
    size = (seen[2] - seen[0], seen[3] - seen[1])
    found: list[Shape] = []
    for shape in (_moved(shape, enlarged) for shape in shapes[:-1]):
        if shape.fill is None:
            break
        filled = covered_by([*map(closed_across, page_curves(shape))], shape.rule)
        moved = shapely.transform(filled, lambda points: points - np.array(seen[:2]))
        if not covers_block(Outline(moved), None, size):
            break
        found.append(shape)
    return found


def _background_told(under: Sequence[Shape], background: Fabric | None) -> list[Finding]:
    if background is None:
        return []
    text = f"covers the whole artwork, so it is the background ({background.name}) and no piece"
    told = [note("background", under[-1].name, text)]
    if len(under) > 1:
        names = ", ".join(shape.name for shape in under[:-1])
        told.append(note("hidden-below", "", f"lie wholly under the background, left out: {names}"))
    return told


def _unseen_told(parts: Sequence[Part]) -> list[Finding]:
    pieces = [(label, part) for label, part in enumerate(parts, start=1) if not part.detail]
    names = [
        f"{pieces[k][0]} ({pieces[k][1].name})" for k in unseen([part.shape for _, part in pieces])
    ]
    if not names:
        return []
    text = "lie wholly under the shapes above them, so they will be neither sewn nor cut"
    return [note("unseen", "", f"{text}; delete them if you like: {', '.join(names)}")]


def _beyond_told(placing: Placing) -> list[Finding]:
    """Whether the artwork reaches beyond the seam lines of a finished size that was given."""
    pairs = zip(placing.artwork_mm, placing.finished_mm, strict=True)
    beyond = max((artwork - finished) / 2 for artwork, finished in pairs)
    if beyond <= _BEYOND_MM:
        return []
    text = (
        f"the artwork reaches {beyond:.1f} mm beyond the finished block; what lies there goes into "
        "the seam or is cut off"
    )
    return [note("beyond", "", text)]


_BEYOND_MM = 0.01
