"""A document read as a block: which shapes are pieces, of which fabric, in which order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import shapely
from lxml import etree

from applique.errors import InputError
from applique.model import Block, Detail, Fabric, Frame, Outline, Piece
from applique.report import Finding, error, errors_in, note, warning
from applique.settings import SPECS, resolve
from applique.svg.details import DrawnDetail, trace_detail
from applique.svg.document import Header, read_header
from applique.svg.labels import unique_labels
from applique.svg.outlines import Trouble, trace
from applique.svg.owners import Owner, owners_of, sources_of
from applique.svg.parts import Found, Values, part_of, slivers_as_details
from applique.svg.select import Candidate, candidates
from applique.svg.tree import Drawn

BACKGROUND_COVERS = 0.98
"""Share of the block that a shape must cover to be its background and not a piece."""


@dataclass(frozen=True)
class Request:
    """What the user asked for: ids to take (none: all pieces), settings that override the
    document's, and the finished size (width, height) in mm if it is not in the document."""

    select: tuple[str, ...] = ()
    settings: Values = field(default_factory=dict)
    finished_mm: tuple[float, float] | None = None


@dataclass(frozen=True, eq=False)
class Reading:
    """A block, with what bears its tags. `concerned` are the labels of the pieces that were asked
    for; `untagged` the filled shapes that are artwork because others are tagged."""

    block: Block
    owners: tuple[Owner, ...]
    concerned: frozenset[str]
    untagged: tuple[Drawn, ...]
    findings: tuple[Finding, ...]


def read_block(root: etree._Element, request: Request = Request()) -> Reading:
    """Read a document; raises InputError with every finding if what was asked for can't be sewn."""
    reading = survey_block(root, request)
    if errors_in(reading.findings):
        raise InputError("nothing was made", reading.findings)
    return reading


def survey_block(root: etree._Element, request: Request = Request()) -> Reading:
    """Read a document as far as it can be read; what can't be is an error among the findings."""
    header = read_header(root, request.finished_mm)
    findings = list(header.findings)
    asked = request.settings.get("detail")
    if asked is not None and not request.select:
        text = "holds for single elements; select the lines and small shapes that it is for"
        findings.append(error("detail", "detail", text))
        asked = None
    chosen = candidates(root, request.select, None if asked is None else str(asked))
    findings.extend(chosen.findings)
    found = _without_background(_traced(chosen.candidates, findings), header, findings)
    named = unique_labels([item.candidate for item in found])
    findings.extend(named.findings)
    sources = sources_of(root, named.owners)
    colours = {name: fabric.colour for name, fabric in header.fabrics.items()}
    read = [
        part_of(
            item,
            label,
            sources[item.candidate.owner],
            header,
            colours,
            request.settings,
            findings,
        )
        for item, label in zip(found, named.labels, strict=True)
    ]
    now_details = slivers_as_details(found, read, findings)
    parts = [part for part in read if part is not None]
    if not parts and not errors_in(findings):
        text = "no filled closed shape was found; draw the pieces as closed paths with a fill"
        findings.append(error("no-piece", "", text))
    concerned = frozenset(
        label for label, item in zip(named.labels, found, strict=True) if item.candidate.concerned
    )
    untagged = {i.candidate.owner for i in found if not i.candidate.tags.get("fabric")}
    owners = owners_of(named.owners, sources, parts, concerned, untagged, now_details)
    block = _block(parts, header, request)
    return Reading(block, owners, concerned, chosen.untagged, tuple(findings))


def _traced(found: Sequence[Candidate], findings: list[Finding]) -> list[Found]:
    """Candidates with their outlines; what has none is told, as an error if it was asked for."""
    kept = []
    for candidate in found:
        drawn, troubles = _drawn(candidate)
        for trouble in troubles:
            message, say = trouble.message, warning
            if trouble.fatal and candidate.asked_for:
                say = error
            elif trouble.fatal:
                message += "; it stays artwork"
            findings.append(say(trouble.code, candidate.name, message, trouble.place))
        if any(shape.look.clipped for shape in candidate.shapes):
            text = "its clip or mask is not followed; cut the shape itself to size"
            findings.append(warning("clipped", candidate.name, text))
        if drawn is not None:
            kept.append(Found(candidate, drawn))
    return kept


def _drawn(candidate: Candidate) -> tuple[Outline | DrawnDetail | None, tuple[Trouble, ...]]:
    if candidate.detail is not None:
        return trace_detail(candidate.shapes, candidate.detail)
    traced = trace(list(candidate.shapes))
    return traced.outline, traced.troubles


def _without_background(found: list[Found], header: Header, findings: list[Finding]) -> list[Found]:
    """The background is never a piece: a shape that covers the whole block, with nothing below."""
    kept: list[Found] = []
    for item in found:
        if kept or not _is_background(item.drawn, header):
            kept.append(item)
            continue
        text = "covers the whole block, so it was taken as the background and not sewn"
        say = warning if item.candidate.asked_for else note
        findings.append(say("background", item.candidate.name, text))
    return kept


def _is_background(drawn: Outline | DrawnDetail, header: Header) -> bool:
    return isinstance(drawn, Outline) and covers_block(drawn, header.frame, header.page_mm)


def covers_block(outline: Outline, frame: Frame | None, page_mm: tuple[float, float]) -> bool:
    """Whether a shape covers the finished block, or the page where nobody said how large that is,
    as only a background does."""
    whole = shapely.box(0, 0, *page_mm)
    if frame is not None:
        whole = shapely.box(frame.left, frame.top, frame.right, frame.bottom)
    return bool(outline.shape.intersection(whole).area >= BACKGROUND_COVERS * whole.area)


def _of_the_document(values: Values) -> dict[str, float | str]:
    """The settings among some that hold for the block as a whole."""
    return {name: value for name, value in values.items() if SPECS[name].scope == "document"}


def _block(parts: Sequence[Piece | Detail], header: Header, request: Request) -> Block:
    pieces = [part for part in parts if isinstance(part, Piece)]
    used = dict(header.fabrics)
    for piece in pieces:
        used.setdefault(piece.fabric, Fabric(piece.fabric, piece.colour))
    width, height = header.page_mm
    return Block(
        name=header.name,
        centre=(width / 2, height / 2),
        frame=header.frame,
        background=header.background,
        pieces=tuple(pieces),
        fabrics=tuple(used.values()),
        settings=resolve(_of_the_document(header.settings), _of_the_document(request.settings)),
        details=_under_pieces(parts),
    )


def _under_pieces(parts: Sequence[Piece | Detail]) -> tuple[Detail, ...]:
    """The details among parts in stacking order, each with the labels of the pieces above it."""
    above: set[str] = set()
    details: list[Detail] = []
    for part in reversed(parts):
        if isinstance(part, Piece):
            above.add(part.label)
        else:
            details.append(replace(part, under=frozenset(above)))
    return tuple(reversed(details))
