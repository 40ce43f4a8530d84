"""The card of a document: what is laid when, and how every piece looks and is made.

card:    tree -> layers (made on a copy if there are none) -> Card -> pages
"""

from __future__ import annotations

import copy
import re
from collections.abc import Sequence

import shapely
from lxml import etree
from shapely.geometry.base import BaseGeometry

from applique.errors import InputError
from applique.geometry.curves import polyline
from applique.layering.details import lay_all, sewn_shape
from applique.model import Laid, LaidDetail, LaidPiece, Step
from applique.origin import size_beside_template
from applique.paper.content import Card, CardDetail, CardPiece, Pause
from applique.paper.drawing import shape_curves
from applique.pipeline import make_layers, read_plan
from applique.renewal import relabelled
from applique.report import Finding, errors_in, note, ordered, warning
from applique.sequence.pauses import own_words
from applique.svg.read import survey_block
from applique.svg.tagged import read_steps

BACKGROUND = "#ffffff"
"""The colour of a background of which nothing is known: that of the paper."""


def card_of(root: etree._Element) -> tuple[Card, tuple[Finding, ...]]:
    """The card of a document, which stays as it is, and what was noticed.

    The order is that of its sewing layer; without one, that in which Make Layers would sew it now.
    Raises InputError with every finding if the document can't be read or sewn.
    """
    layered, findings = _layered(root)
    reading = survey_block(layered)
    if errors_in(reading.findings):
        raise InputError("no card can be made", reading.findings)
    steps = relabelled(read_steps(layered).steps, reading.block.parts)
    _, noticed = read_plan(layered)
    laid, stacking = lay_all(reading.block)
    seen = [item for item in laid if not item.hidden]
    pauses, told = _pauses(steps, [i.part.label for i in seen if isinstance(i, LaidPiece)])
    block = reading.block
    colours = {fabric.name: fabric.colour for fabric in block.fabrics}
    card = Card(
        name=block.name,
        frame=block.frame,
        background=block.background,
        background_colour=colours.get(block.background, BACKGROUND),
        stack=tuple(_stack(seen, pauses)),
        pauses=pauses,
    )
    return card, ordered([*findings, *noticed, *stacking, *told])


def _layered(root: etree._Element) -> tuple[etree._Element, tuple[Finding, ...]]:
    """The document, or a copy with layers if it has none."""
    if read_steps(root).steps:
        return root, ()
    made = copy.deepcopy(root)
    findings = make_layers(made).findings
    text = "there are no layers yet; the card shows the order in which Make Layers sews it now"
    return made, (*findings, note("unmade", "", text))


def _pauses(
    steps: Sequence[Step], labels: Sequence[str]
) -> tuple[tuple[Pause, ...], list[Finding]]:
    """Every pause of the machine with what is laid and trimmed at it. What no pause names is laid
    at the first one after its line."""
    stops = [index for index, step in enumerate(steps) if step.pause]
    placed = _first_steps(steps, "placement")
    trimmed = _first_steps(steps, "trim-line")
    lays: dict[int, list[str]] = {index: [] for index in stops}
    trims: dict[int, list[str]] = {index: [] for index in stops}
    told = []
    for label in sorted(set(labels) & set(placed), key=placed.__getitem__):
        at = _stop_for(rf"over the line of {re.escape(label)}\.", placed[label], stops, steps)
        if at is None:
            text = "no pause follows its placement line, so the card can't say when it is laid"
            told.append(warning("pause", label, f"{text}; use Make Layers"))
        else:
            lays[at].append(label)
    for label in sorted(set(labels) & set(trimmed), key=trimmed.__getitem__):
        at = _stop_for(rf"trim {re.escape(label)} close", trimmed[label], stops, steps)
        if at is not None:
            trims[at].append(label)
    pauses = []
    for number, at in enumerate(stops, start=1):
        # Words about pieces that are gone from the drawing are all there is to say of them.
        words = own_words(steps[at].pause) if lays[at] or trims[at] else steps[at].pause
        pauses.append(Pause(number, tuple(lays[at]), tuple(trims[at]), words))
    return tuple(pauses), told


def _first_steps(steps: Sequence[Step], kind: str) -> dict[str, int]:
    """Where each piece's first step of a kind stands."""
    first: dict[str, int] = {}
    for index, step in enumerate(steps):
        if step.kind == kind:
            first.setdefault(step.piece, index)
    return first


def _stop_for(sentence: str, after: int, stops: Sequence[int], steps: Sequence[Step]) -> int | None:
    """The first stop from a step on that says something; else the first one at all."""
    later = [index for index in stops if index >= after]
    named = [i for i in later if re.search(sentence + r"(?= |$)", steps[i].pause)]
    return next(iter([*named, *later]), None)


def _stack(seen: Sequence[Laid], pauses: Sequence[Pause]) -> list[CardPiece | CardDetail]:
    """What lies on the block from the lowest to the topmost, with what shows of each piece."""
    turns = {
        label: (pause.number, turn)
        for pause in pauses
        for turn, label in enumerate(pause.laid, start=1)
    }
    stack: list[CardPiece | CardDetail] = []
    above: BaseGeometry = shapely.Polygon()
    for laid in reversed(seen):
        if isinstance(laid, LaidDetail):
            stack.append(_detail(laid))
            above = above.union(sewn_shape(laid))
            continue
        shown = laid.whole.difference(above)
        above = above.union(laid.whole)
        stack.append(_piece(laid, shown, turns.get(laid.piece.label, (0, 0))))
    return stack[::-1]


def _piece(laid: LaidPiece, shown: BaseGeometry, turn: tuple[int, int]) -> CardPiece:
    piece, settings, origin = laid.piece, laid.piece.settings, laid.piece.origin
    as_drawn = laid.whole.equals(piece.outline.shape)
    extra = {"cut-in-hoop": settings.patch_margin_mm, "turned": settings.turn_allowance_mm}
    return CardPiece(
        label=piece.label,
        fabric=piece.fabric,
        colour=piece.colour,
        edge=settings.edge,
        method=settings.method,
        curves=piece.outline.curves if as_drawn else (),
        whole=laid.whole,
        cut=laid.cut,
        shown=shown,
        extra_mm=extra.get(settings.method, 0.0),
        pause=turn[0],
        turn=turn[1],
        template="" if origin is None else origin.template,
        template_version="" if origin is None else str(origin.version),
        remark=size_beside_template(origin, piece.outline.shape),
    )


def _detail(laid: LaidDetail) -> CardDetail:
    detail = laid.detail
    if detail.style == "spot":
        return CardDetail(detail.label, detail.thread.colour, 0.0, shape_curves(laid.shape), True)
    width = detail.settings.detail_width_mm if detail.style == "line" else 0.4
    curves = tuple(polyline(run.points, run.closed) for run in laid.lines if len(run.points) > 1)
    return CardDetail(detail.label, detail.thread.colour, width, curves, False)
