"""A document read as a block: which shapes are pieces, of which fabric, in which order."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import shapely
from lxml import etree

from applique.errors import InputError
from applique.model import Block, Fabric, Frame, Outline, Piece, Thread
from applique.report import Finding, error, errors_in, note, warning
from applique.settings import SPECS, Settings, resolve
from applique.svg import vocabulary as v
from applique.svg.document import Header, read_header, settings_among
from applique.svg.labels import unique_labels
from applique.svg.outlines import trace
from applique.svg.select import Candidate, candidates
from applique.svg.style import colour_hex
from applique.svg.tree import Drawn

BACKGROUND_COVERS = 0.98
"""Share of the block that a shape must cover to be its background and not a piece."""

Values = Mapping[str, float | str]


@dataclass(frozen=True)
class Request:
    """What the user asked for: ids to take (none: all pieces), settings that override the
    document's, and the finished size (width, height) in mm if it is not in the document."""

    select: tuple[str, ...] = ()
    settings: Values = field(default_factory=dict)
    finished_mm: tuple[float, float] | None = None


@dataclass(frozen=True, eq=False)
class Owner:
    """An element that bears the tags of one piece, or of several seen through one clone.

    `source` is its id, a new one if it has none yet; `fabric` is the one to tag it with, None where
    it has one already or where its pieces differ.
    """

    element: etree._Element
    source: str
    label: str
    fabric: str | None
    concerned: bool


@dataclass(frozen=True, eq=False)
class Reading:
    """A block, with what bears its tags. `concerned` are the labels of the pieces that were asked
    for; `untagged` the filled shapes that are artwork because others are tagged."""

    block: Block
    owners: tuple[Owner, ...]
    concerned: frozenset[str]
    untagged: tuple[Drawn, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, eq=False)
class _Found:
    """A candidate with its outline."""

    candidate: Candidate
    outline: Outline


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
    chosen = candidates(root, request.select)
    findings.extend(chosen.findings)
    found = _without_background(_traced(chosen.candidates, findings), header, findings)
    named = unique_labels([item.candidate for item in found])
    findings.extend(named.findings)
    sources = _sources(root, named.owners)
    read = [
        _piece(item, label, sources[item.candidate.owner], header, request, findings)
        for item, label in zip(found, named.labels, strict=True)
    ]
    pieces = [piece for piece in read if piece is not None]
    if not pieces and not errors_in(findings):
        text = "no filled closed shape was found; draw the pieces as closed paths with a fill"
        findings.append(error("no-piece", "", text))
    concerned = frozenset(
        label for label, item in zip(named.labels, found, strict=True) if item.candidate.concerned
    )
    untagged = {i.candidate.owner for i in found if not i.candidate.tags.get("fabric")}
    owners = _owners(named.owners, sources, pieces, concerned, untagged)
    block = _block(pieces, header, request)
    return Reading(block, owners, concerned, chosen.untagged, tuple(findings))


def _sources(
    root: etree._Element, owners: Mapping[etree._Element, str]
) -> dict[etree._Element, str]:
    """The ids of the owners; those without one get a new one made from their label."""
    taken = {str(found.get("id")) for found in root.iter("*") if found.get("id")}
    sources = {}
    for element, label in owners.items():
        source = str(element.get("id", ""))
        if not source:
            base = "piece-" + re.sub(r"[^A-Za-z0-9_.-]", "_", label)
            tries = itertools.chain([base], (f"{base}-{k}" for k in itertools.count(2)))
            source = next(name for name in tries if name not in taken)
            taken.add(source)
        sources[element] = source
    return sources


def _owners(
    labels: Mapping[etree._Element, str],
    sources: Mapping[etree._Element, str],
    pieces: Sequence[Piece],
    concerned: frozenset[str],
    untagged: set[etree._Element],
) -> tuple[Owner, ...]:
    by_source: dict[str, list[Piece]] = {}
    for piece in pieces:
        by_source.setdefault(piece.source, []).append(piece)
    owners = []
    for element, label in labels.items():
        own = by_source.get(sources[element], [])
        fabrics = {piece.fabric for piece in own}
        fabric = fabrics.pop() if len(fabrics) == 1 and element in untagged else None
        asked = any(piece.label in concerned for piece in own)
        owners.append(Owner(element, sources[element], label, fabric, asked))
    return tuple(owners)


def _traced(found: Sequence[Candidate], findings: list[Finding]) -> list[_Found]:
    """Candidates with their outlines; what has none is told, as an error if it was asked for."""
    kept = []
    for candidate in found:
        result = trace(list(candidate.shapes))
        for trouble in result.troubles:
            message, say = trouble.message, warning
            if trouble.fatal and candidate.asked_for:
                say = error
            elif trouble.fatal:
                message += "; it stays artwork"
            findings.append(say(trouble.code, candidate.name, message, trouble.place))
        if any(shape.look.clipped for shape in candidate.shapes):
            text = "its clip or mask is not followed; cut the shape itself to size"
            findings.append(warning("clipped", candidate.name, text))
        if result.outline is not None:
            kept.append(_Found(candidate, result.outline))
    return kept


def _without_background(
    found: list[_Found], header: Header, findings: list[Finding]
) -> list[_Found]:
    """The background is never a piece: a shape that covers the whole block, with nothing below."""
    kept: list[_Found] = []
    for item in found:
        if kept or not covers_block(item.outline, header.frame, header.page_mm):
            kept.append(item)
            continue
        text = "covers the whole block, so it was taken as the background and not sewn"
        say = warning if item.candidate.asked_for else note
        findings.append(say("background", item.candidate.name, text))
    return kept


def covers_block(outline: Outline, frame: Frame | None, page_mm: tuple[float, float]) -> bool:
    """Whether a shape covers the finished block, or the page where nobody said how large that is,
    as only a background does."""
    whole = shapely.box(0, 0, *page_mm)
    if frame is not None:
        whole = shapely.box(frame.left, frame.top, frame.right, frame.bottom)
    return bool(outline.shape.intersection(whole).area >= BACKGROUND_COVERS * whole.area)


def _piece(
    item: _Found,
    label: str,
    source: str,
    header: Header,
    request: Request,
    findings: list[Finding],
) -> Piece | None:
    """The piece, or None if a tag of it is wrong."""
    candidate = item.candidate
    tags = candidate.tags
    own, wrong = settings_among(tags, "piece", label, "change ap:{}")
    command = request.settings if candidate.concerned else {}
    colour = candidate.shapes[0].look.fill or "#808080"
    fabric = tags.get("fabric") or colour
    if fabric in header.fabrics:
        colour = header.fabrics[fabric].colour
    thread = colour_hex(tags.get("thread", colour))
    if thread is None:
        text = f"ap:thread '{tags['thread']}' is no colour; write it as #rrggbb"
        wrong.append(error("thread", label, text))
    unknown = sorted(set(tags) - v.PIECE_NAMES - set(SPECS))
    findings.extend(
        note("unknown-tag", label, f"ap:{name} is not known and was left alone") for name in unknown
    )
    settings = _resolved(item.outline, (header.settings, own, command), label, wrong)
    findings.extend(wrong)
    if settings is None or thread is None:
        return None
    sewn_with = Thread(thread, tags.get("thread-name", ""))
    return Piece(label, source, item.outline, fabric, colour, sewn_with, settings)


def _resolved(
    outline: Outline, layers: tuple[Values, ...], label: str, wrong: list[Finding]
) -> Settings | None:
    left, top, right, bottom = outline.shape.bounds
    try:
        return resolve(*layers, narrow_side_mm=min(right - left, bottom - top))
    except ValueError as problem:
        wrong.append(error("setting", label, f"{problem}; change one of them"))
        return None


def _of_the_document(values: Values) -> dict[str, float | str]:
    """The settings among some that hold for the block as a whole."""
    return {name: value for name, value in values.items() if SPECS[name].scope == "document"}


def _block(pieces: list[Piece], header: Header, request: Request) -> Block:
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
    )
