"""All the stages on one page: how a drawing becomes layers, and layers become a plan.

    make:    tree -> svg.read -> layering -> stitches -> sequence -> svg.tagged -> tree
    export:  tree -> svg.tagged -> Plan

Only the writers at the end of a stage touch the tree, so a refusal leaves it as it was.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from lxml import etree

from applique.cutting.outlines import cut_lines
from applique.errors import InputError
from applique.layering.details import lay_all
from applique.model import Block, CutLine, LaidPiece, Plan, Step
from applique.renewal import (
    Sewing,
    Standing,
    agreement_of,
    edits_kept,
    held_steps,
    hidden_among,
    losses_of,
    misfits_told,
    only,
    renewed,
    sewn,
    standings,
)
from applique.report import Finding, errors_in, note, warning
from applique.sequence.keep import merged, out_of_order, with_short_links
from applique.sequence.order import Order, count_blocks, ordered
from applique.sequence.pauses import with_pauses
from applique.sequence.plan import plan_of, stitch_faults
from applique.sequence.precedence import Precedence, precedence
from applique.sequence.stages import work_of
from applique.sequence.travel import with_travel
from applique.settings import Settings
from applique.svg.cutlayer import write_cut_lines
from applique.svg.document import read_header
from applique.svg.read import Reading, Request, read_block, survey_block
from applique.svg.tagged import as_written, read_steps, write_steps
from applique.svg.tagging import tag_document


@dataclass(frozen=True, eq=False)
class Layers:
    """What making or refreshing layers did.

    `made` are the labels of the pieces whose steps are new; `blocks` the colour blocks of the whole
    program and `bound` how many are certainly needed (None where no search was asked for).
    """

    steps: tuple[Step, ...]
    cut_lines: tuple[CutLine, ...]
    made: tuple[str, ...]
    blocks: int
    bound: int | None
    findings: tuple[Finding, ...]


def make_layers(
    root: etree._Element,
    request: Request = Request(),  # noqa: B008
    replace_edited: bool = False,
    sewing: Sewing = sewn,
) -> Layers:
    """Make the sewing and cutting layers of the pieces asked for, in the document itself.

    Steps edited by hand are kept unless `replace_edited`; `sewing` gives the steps of a piece (they
    may be remembered). Raises InputError, with every finding, before anything is changed.
    """
    reading = read_block(root, request)
    everything = len(reading.concerned) == len(reading.block.parts)
    anew = everything or _asks_for_order(request)
    return _renewed(
        root, reading, request, reading.concerned, lambda piece: False, replace_edited, anew, sewing
    )


def refresh_layers(root: etree._Element, replace_edited: bool = False) -> Layers:
    """Make anew only the steps that no longer fit their pieces, or are missing, or, with
    `replace_edited`, were edited by hand; see `make_layers`."""
    if not read_steps(root).steps:
        raise InputError("there are no layers to refresh; use Make Layers first")
    request = Request()
    reading = read_block(root, request)
    edges_last = reading.block.settings.edges == "last"

    def outdated(piece: Standing) -> bool:
        if piece.stale or (replace_edited and piece.edited):
            return True
        return bool(piece.missing(edges_last))

    return _renewed(root, reading, request, frozenset(), outdated, replace_edited, order_anew=False)


def read_plan(root: etree._Element) -> tuple[Plan, tuple[Finding, ...]]:
    """The plan that a layered document holds, as the machine will sew it."""
    found = read_steps(root)
    if not found.steps:
        raise InputError("there are no stitches; use Make Layers first")
    faults = stitch_faults(found.steps)
    if errors_in(faults):
        raise InputError("some of the stitches can't be sewn", errors_in(faults))
    header = read_header(root)
    centre = (header.page_mm[0] / 2, header.page_mm[1] / 2)
    findings = (*found.findings, *_misfits(root, found.steps))
    return plan_of(found.steps, header.name, centre), findings


def _misfits(root: etree._Element, steps: Sequence[Step]) -> tuple[Finding, ...]:
    """A warning where stitches and cut lines are no longer, or not yet, those of the drawing."""
    return misfits_told(agreement_of(survey_block(root).block, steps))


def _renewed(
    root: etree._Element,
    reading: Reading,
    request: Request,
    asked: frozenset[str],
    outdated: Callable[[Standing], bool],
    replace_edited: bool,
    order_anew: bool,
    sewing: Sewing = sewn,
) -> Layers:
    """Make the steps of the pieces asked for and of those outdated, order everything, and write it
    down."""
    existing = read_steps(root)
    settings = reading.block.settings
    old = held_steps(existing.steps, reading.block.parts)
    block, findings = _sewn_parts(reading, old, asked)
    laid, stacking = lay_all(block)
    findings = [*reading.findings, *existing.findings, *findings, *stacking]
    if errors_in(stacking):
        raise InputError("these pieces can't be sewn in this order", findings)
    pieces = standings(laid, old)
    new: dict[str, Sequence[Step]] = {}
    for piece in pieces:
        if not replace_edited:
            findings.extend(edits_kept(piece))
        if piece.label in asked or outdated(piece):
            made, found = renewed(piece, settings.edges == "last", replace_edited, sewing)
            findings.extend(found)
            # What follows must not depend on whether a step was made now or read back.
            new[piece.label] = as_written(root, made)
    comes_first = precedence([item for item in laid if not item.hidden])
    order = _ordered(old, new, pieces, comes_first, settings, order_anew or not old, findings)
    laid_pieces = [item for item in laid if isinstance(item, LaidPiece)]
    by_label = {item.part.label: item for item in laid_pieces}
    in_order = with_pauses(
        with_short_links(order.steps), by_label, comes_first.laying, settings.edges == "last"
    )
    steps = with_travel(in_order, by_label, settings.travel_limit_mm)
    findings.extend(_left(pieces, old, new))
    fabrics = {fabric.name: fabric for fabric in block.fabrics}
    lines = cut_lines(laid_pieces, fabrics)
    tag_document(root, reading, request)
    write_steps(root, steps)
    write_cut_lines(root, lines)
    return Layers(steps, lines, tuple(new), count_blocks(in_order), order.bound, tuple(findings))


def _sewn_parts(
    reading: Reading, old: Sequence[Step], asked: frozenset[str]
) -> tuple[Block, list[Finding]]:
    """The block without the pieces and details that have no layers and are to get none now: what
    is not sewn covers nothing."""
    wanted = {step.piece for step in old} | asked
    unsewn = [part.label for part in reading.block.parts if part.label not in wanted]
    hidden = hidden_among(reading.block, unsewn)
    unmade = [label for label in unsewn if label not in hidden]
    if not unmade:
        return reading.block, []
    text = f"have no layers yet: {', '.join(unmade)}; use Make Layers"
    return only(reading.block, wanted), [note("unmade", "", text)]


def _asks_for_order(request: Request) -> bool:
    return bool({"order", "edges", "loose-pieces"} & set(request.settings))


def _ordered(
    old: Sequence[Step],
    new: Mapping[str, Sequence[Step]],
    pieces: Sequence[Standing],
    comes_first: Precedence,
    settings: Settings,
    order_anew: bool,
    findings: list[Finding],
) -> Order:
    """The order of all steps: kept where it can be, made anew where it was asked for or must be."""
    edges_last = settings.edges == "last"
    if not order_anew:
        labels = {piece.label for piece in pieces}
        kept = merged(old, new, labels, comes_first.laying, settings)
        wrong = out_of_order(kept, comes_first, edges_last)
        if wrong is None:
            return Order(tuple(kept))
        text = f"piece {wrong[0]} now lies below {wrong[1]}, so the sewing order was made anew"
        findings.append(note("order", "", text))
    works = []
    for piece in pieces:
        steps = new.get(piece.label, piece.steps)
        if steps and not piece.laid.hidden:
            works.append(work_of(piece.laid, steps, edges_last))
    return ordered(works, settings, comes_first)


def _left(
    pieces: Sequence[Standing], old: Sequence[Step], new: Mapping[str, Sequence[Step]]
) -> list[Finding]:
    """What was left as it was, or fell away."""
    labels = {piece.label for piece in pieces}
    gone: dict[str, list[Step]] = {}
    for step in old:
        if step.piece and step.piece not in labels:
            gone.setdefault(step.piece, []).append(step)
    findings = [losses_of(label, steps) for label, steps in gone.items()]
    stale = [piece.label for piece in pieces if piece.stale and piece.label not in new]
    if stale:
        text = f"no longer fit their stitches: {', '.join(stale)}; use Refresh Layers"
        findings.append(warning("stale", "", text))
    return findings
