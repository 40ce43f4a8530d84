"""All the stages on one page: how a drawing becomes layers, and layers become a plan.

    make:    tree -> svg.read -> layering -> stitches -> sequence -> svg.tagged -> tree
    export:  tree -> svg.tagged -> Plan
    cut:     tree -> svg.cutlayer -> sheets

Only the writers at the end of a stage touch the tree, so a refusal leaves it as it was.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from lxml import etree

from applique.cutting.outlines import cut_lines
from applique.cutting.sheet import Face, Sheet, sheet_of
from applique.errors import InputError
from applique.layering.stack import lay
from applique.model import CutLine, LaidPiece, Plan, Step
from applique.report import Finding, errors_in, note, warning
from applique.sequence.keep import merged, out_of_order, without_travel
from applique.sequence.order import Order, count_blocks, ordered
from applique.sequence.pauses import with_pauses
from applique.sequence.plan import plan_of, stitch_faults
from applique.sequence.stages import work_of
from applique.sequence.travel import with_travel
from applique.settings import Settings
from applique.stitches.piece import sew
from applique.svg.cutlayer import read_cut_lines, write_cut_lines
from applique.svg.digest import digest_of
from applique.svg.document import read_header
from applique.svg.read import Reading, Request, read_block
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
) -> Layers:
    """Make the sewing and cutting layers of the pieces asked for, in the document itself.

    Steps edited by hand are kept unless `replace_edited`. Raises InputError, with every finding,
    before anything is changed.
    """
    reading = read_block(root, request)
    everything = len(reading.concerned) == len(reading.block.pieces)
    anew = everything or _asks_for_order(request)
    return _renewed(root, reading, request, replace_edited, _asked_for, order_anew=anew)


def refresh_layers(root: etree._Element, replace_edited: bool = False) -> Layers:
    """Make anew only the steps that no longer fit their pieces; see `make_layers`."""
    if not read_steps(root).steps:
        raise InputError("there are no layers to refresh; use Make Layers first")
    request = Request()
    reading = read_block(root, request)
    return _renewed(root, reading, request, replace_edited, _stale, order_anew=False)


def read_plan(root: etree._Element) -> tuple[Plan, tuple[Finding, ...]]:
    """The plan that a layered document holds, as the machine will sew it."""
    found = read_steps(root)
    if not found.steps:
        raise InputError("there are no stitches to write; use Make Layers first")
    faults = stitch_faults(found.steps)
    if errors_in(faults):
        raise InputError("some of the stitches can't be sewn", errors_in(faults))
    header = read_header(root)
    centre = (header.page_mm[0] / 2, header.page_mm[1] / 2)
    return plan_of(found.steps, header.name, centre), found.findings


def read_sheets(root: etree._Element, face: Face) -> tuple[Sheet, ...]:
    """The cut sheets of a layered document, one for each fabric in order of first use."""
    by_fabric: dict[str, list[CutLine]] = {}
    for line in read_cut_lines(root):
        by_fabric.setdefault(line.fabric, []).append(line)
    if not by_fabric:
        raise InputError("there are no cut lines; use Make Layers first")
    return tuple(sheet_of(fabric, lines, face) for fabric, lines in by_fabric.items())


@dataclass(frozen=True, eq=False)
class _Piece:
    """A piece as it lies now, its fingerprint, and the steps that the document holds of it."""

    laid: LaidPiece
    digest: str
    steps: tuple[Step, ...]

    @property
    def stale(self) -> bool:
        return any(step.digest != self.digest for step in self.steps)

    @property
    def edited(self) -> tuple[Step, ...]:
        return tuple(step for step in self.steps if step.edited)


def _asked_for(piece: _Piece, reading: Reading) -> bool:
    return piece.laid.piece.label in reading.concerned


def _stale(piece: _Piece, reading: Reading) -> bool:
    return piece.stale


def _renewed(
    root: etree._Element,
    reading: Reading,
    request: Request,
    replace_edited: bool,
    wanted: Callable[[_Piece, Reading], bool],
    order_anew: bool,
) -> Layers:
    """Make the steps of the wanted pieces, order everything, and write it down."""
    existing = read_steps(root)
    laid, stacking = lay(reading.block)
    findings = [*reading.findings, *existing.findings, *stacking]
    if errors_in(stacking):
        raise InputError("these pieces can't be sewn in this order", findings)
    old = without_travel(existing.steps)
    held = _by_piece(old)
    pieces = [_Piece(item, digest_of(item), held.get(item.piece.label, ())) for item in laid]
    # What comes after must not depend on whether a step was made now or read from the document.
    new = {
        piece.laid.piece.label: as_written(root, _sewn(piece, reading, replace_edited, findings))
        for piece in pieces
        if wanted(piece, reading)
    }
    order = _ordered(old, new, pieces, reading.block.settings, order_anew or not old, findings)
    by_label = {item.piece.label: item for item in laid}
    steps = with_pauses(order.steps, by_label)
    blocks = count_blocks(steps)
    steps = with_travel(steps, by_label, reading.block.settings.travel_limit_mm)
    findings.extend(_left(pieces, old, new))
    lines = cut_lines(
        (piece.laid for piece in pieces if piece.steps or piece.laid.piece.label in new),
        {fabric.name: fabric for fabric in reading.block.fabrics},
    )
    tag_document(root, reading, request)
    write_steps(root, steps)
    write_cut_lines(root, lines)
    return Layers(steps, lines, tuple(new), blocks, order.bound, tuple(findings))


def _by_piece(steps: Sequence[Step]) -> dict[str, tuple[Step, ...]]:
    held: dict[str, tuple[Step, ...]] = {}
    for step in steps:
        held[step.piece] = (*held.get(step.piece, ()), step)
    return held


def _sewn(
    piece: _Piece, reading: Reading, replace_edited: bool, findings: list[Finding]
) -> list[Step]:
    """The new steps of a piece; those edited by hand stand in for their kind."""
    edges_last = reading.block.settings.edges == "last"
    steps, found = sew(piece.laid, edges_last)
    findings.extend(found)
    fresh = [replace(step, digest=piece.digest) for step in steps]
    if replace_edited or not piece.edited:
        return fresh
    kept = {step.kind for step in piece.edited}
    text = (
        f"the {' and '.join(sorted(kept))} step was edited by hand and is kept; "
        "ask for edited steps to be replaced to have it made anew"
    )
    findings.append(warning("edited", piece.laid.piece.label, text))
    result: list[Step] = []
    for step in fresh:
        if step.kind not in kept:
            result.append(step)
        elif all(done.kind != step.kind for done in result):
            result.extend(edit for edit in piece.edited if edit.kind == step.kind)
    return result


def _asks_for_order(request: Request) -> bool:
    return bool({"order", "edges", "loose-pieces"} & set(request.settings))


def _ordered(
    old: Sequence[Step],
    new: Mapping[str, Sequence[Step]],
    pieces: Sequence[_Piece],
    settings: Settings,
    order_anew: bool,
    findings: list[Finding],
) -> Order:
    """The order of all steps: kept where it can be, made anew where it was asked for or must be."""
    by_label = {piece.laid.piece.label: piece.laid for piece in pieces}
    edges_last = settings.edges == "last"
    if not order_anew:
        kept = merged(old, new, by_label, settings)
        wrong = out_of_order(kept, by_label, edges_last)
        if wrong is None:
            return Order(tuple(kept))
        text = f"piece {wrong[0]} now lies below {wrong[1]}, so the sewing order was made anew"
        findings.append(note("order", "", text))
    works = []
    for piece in pieces:
        label = piece.laid.piece.label
        steps = new.get(label, piece.steps)
        if steps and not piece.laid.hidden:
            works.append(work_of(piece.laid, steps, edges_last))
    return ordered(works, settings)


def _left(
    pieces: Sequence[_Piece], old: Sequence[Step], new: Mapping[str, Sequence[Step]]
) -> list[Finding]:
    """What was left as it was, or fell away."""
    labels = {piece.laid.piece.label for piece in pieces}
    gone = dict.fromkeys(step.piece for step in old if step.piece and step.piece not in labels)
    text = "is no longer in the drawing; its steps were removed"
    findings = [note("gone", label, text) for label in gone]
    stale = [
        piece.laid.piece.label
        for piece in pieces
        if piece.stale and piece.laid.piece.label not in new
    ]
    if stale:
        text = f"no longer fit their stitches: {', '.join(stale)}; use Refresh Layers"
        findings.append(warning("stale", "", text))
    unmade = [
        piece.laid.piece.label
        for piece in pieces
        if not piece.steps and not piece.laid.hidden and piece.laid.piece.label not in new
    ]
    if unmade:
        text = f"have no layers yet: {', '.join(unmade)}; use Make Layers"
        findings.append(note("unmade", "", text))
    return findings
