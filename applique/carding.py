"""The card of a document: what is laid when, and how every piece looks and is made.

card:    tree -> layers (made on a copy if there are none) -> Card -> pages
"""

from __future__ import annotations

import copy
from collections.abc import Sequence

import shapely
from lxml import etree
from shapely.geometry.base import BaseGeometry

from applique.errors import InputError
from applique.geometry.curves import polyline
from applique.layering.details import lay_all, sewn_shape
from applique.model import Block, Laid, LaidDetail, LaidPiece, Step
from applique.origin import size_beside_template
from applique.paper.content import Card, CardDetail, CardPiece, Pause
from applique.paper.drawing import shape_curves
from applique.paper.pauses import pauses_of
from applique.pipeline import make_layers, read_plan
from applique.renewal import relabelled
from applique.report import Finding, errors_in, note, ordered
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
    card, told = card_from(reading.block, laid, steps)
    return card, ordered([*findings, *noticed, *stacking, *told])


def card_from(
    block: Block, laid: Sequence[Laid], steps: Sequence[Step]
) -> tuple[Card, Sequence[Finding]]:
    """The card of a block whose pieces and details lie in their places, from its steps in sewing
    order, and what was noticed."""
    seen = [item for item in laid if not item.hidden]
    pauses, told = pauses_of(steps, [i.part.label for i in seen if isinstance(i, LaidPiece)])
    colours = {fabric.name: fabric.colour for fabric in block.fabrics}
    card = Card(
        name=block.name,
        frame=block.frame,
        background=block.background,
        background_colour=colours.get(block.background, BACKGROUND),
        stack=tuple(_stack(seen, pauses)),
        pauses=pauses,
    )
    return card, told


def _layered(root: etree._Element) -> tuple[etree._Element, tuple[Finding, ...]]:
    """The document, or a copy with layers if it has none."""
    if read_steps(root).steps:
        return root, ()
    made = copy.deepcopy(root)
    findings = make_layers(made).findings
    text = "there are no layers yet; the card shows the order in which Make Layers sews it now"
    return made, (*findings, note("unmade", "", text))


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
