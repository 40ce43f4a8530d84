"""What one drawn shape is sewn as: a piece of fabric, or a detail on top of the fabric."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lxml import etree

from applique.defaults import SMALL_PIECE_MM
from applique.geometry.width import narrower_than, widest_mm
from applique.model import Detail, Outline, Piece, Thread
from applique.origin import origin_of
from applique.report import Finding, error, errors_in, note, warning
from applique.settings import SPECS, Settings, resolve
from applique.svg import vocabulary as v
from applique.svg.details import SPOT, DrawnDetail, detail_of
from applique.svg.document import Header, settings_among
from applique.svg.select import Candidate
from applique.svg.style import colour_hex

Values = Mapping[str, float | str]


@dataclass(frozen=True, eq=False)
class Found:
    """A candidate with its outline, or with what it draws as a detail."""

    candidate: Candidate
    drawn: Outline | DrawnDetail


def part_of(
    item: Found,
    label: str,
    source: str,
    header: Header,
    colours: dict[str, str],
    command: Values,
    findings: list[Finding],
) -> Piece | Detail | None:
    """The piece or detail, or None if a tag of it is wrong. `command` are the settings that were
    asked for, `colours` those of the fabrics by name: one that is not among them yet gets that of
    the piece."""
    candidate = item.candidate
    settings = _settings(item, label, header, command if candidate.concerned else {}, findings)
    if settings is None:
        return None
    tags, look = candidate.tags, candidate.shapes[0].look
    if isinstance(item.drawn, DrawnDetail):
        return detail_of(item.drawn, label, source, look, tags, settings, findings)
    colour = look.fill or "#808080"
    fabric = tags.get("fabric") or colour
    colour = colours.setdefault(fabric, colour)
    thread = colour_hex(tags.get("thread", colour))
    if thread is None:
        text = f"ap:thread '{tags['thread']}' is no colour; write it as #rrggbb"
        findings.append(error("thread", label, text))
        return None
    sewn_with = Thread(thread, tags.get("thread-name", ""))
    origin = origin_of(tags)
    return Piece(label, source, item.drawn, fabric, colour, sewn_with, settings, origin)


def slivers_as_details(
    found: Sequence[Found], parts: list[Piece | Detail | None], findings: list[Finding]
) -> set[etree._Element]:
    """Turn those of `parts` into spots that are too narrow for their fabric to show between the
    sides of their edge, unless somebody tagged them as pieces; returns their owners.

    What is seen through one clone stays together: it becomes spots only as a whole.
    """
    slivers = {
        k: part for k, part in enumerate(parts) if isinstance(part, Piece) and _is_sliver(part)
    }
    in_all = Counter(item.candidate.owner for item in found)
    turns = Counter(
        found[k].candidate.owner
        for k, piece in slivers.items()
        if _turns(piece, found[k].candidate)
    )
    turned = {owner for owner, count in turns.items() if count == in_all[owner]}
    labels = []
    for k, piece in slivers.items():
        candidate = found[k].candidate
        if candidate.owner not in turned:
            findings.append(_sliver(piece))
            continue
        drawn = DrawnDetail(SPOT, (), piece.outline.shape)
        look = candidate.shapes[0].look
        args = (piece.label, piece.source, look, candidate.tags, piece.settings)
        parts[k] = detail_of(drawn, *args, findings)
        labels.append(piece.label)
    if labels:
        findings.append(_turned(labels))
    return turned


def _settings(
    item: Found, label: str, header: Header, command: Values, findings: list[Finding]
) -> Settings | None:
    """The settings of a piece or detail; None if one of them is wrong."""
    tags = {name: text for name, text in item.candidate.tags.items() if name != "detail"}
    own, wrong = settings_among(tags, "piece", label, "change ap:{}")
    findings.extend(
        note("unknown-tag", label, f"ap:{name} is not known and was left alone")
        for name in sorted(set(tags) - v.PIECE_NAMES - set(SPECS))
    )
    settings = None
    try:
        layers = (header.settings, own, command)
        settings = resolve(*layers, narrow_side_mm=_narrow_side_mm(item.drawn))
    except ValueError as problem:
        wrong.append(error("setting", label, f"{problem}; change one of them"))
    findings.extend(wrong)
    return None if errors_in(wrong) else settings


def _narrow_side_mm(drawn: Outline | DrawnDetail) -> float:
    if isinstance(drawn, DrawnDetail):
        return SMALL_PIECE_MM
    left, top, right, bottom = drawn.shape.bounds
    return float(min(right - left, bottom - top))


def _is_sliver(piece: Piece) -> bool:
    return narrower_than(piece.outline.shape, piece.settings.narrowest_mm)


def _turns(piece: Piece, candidate: Candidate) -> bool:
    """Whether a sliver was never tagged as a piece, and a spot can be made of it."""
    if {"piece", "fabric", "detail"} & set(candidate.tags):
        return False
    return narrower_than(piece.outline.shape, piece.settings.spot_size_mm)


def _sliver(piece: Piece) -> Finding:
    text = (
        f"is {widest_mm(piece.outline.shape):.1f} mm across at most, so hardly any of its fabric "
        f"shows between the sides of its {piece.settings.edge} edge; make it larger, its edge "
        "narrower, or a detail (ap:detail)"
    )
    return warning("sliver", piece.label, text)


def _turned(labels: Sequence[str]) -> Finding:
    text = (
        "too narrow for fabric to show inside their edges, so sewn as details, filled with satin: "
        f"{', '.join(labels)}; set detail to none for any that is to be fabric after all"
    )
    return note("detail", "", text)
