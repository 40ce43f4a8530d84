"""Everything about a block that is worth a second look before it is sewn."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from lxml import etree

from applique.errors import InputError
from applique.geometry.offset import grown, shrunk
from applique.geometry.rings import polygons_of
from applique.layering.cover import SEAM_TOLERANCE_MM
from applique.layering.details import lay_all
from applique.model import Block, Piece, Step
from applique.origin import size_beside_template
from applique.renewal import Standing, agreement_of
from applique.report import Finding, counted, note, ordered, warning
from applique.sequence.keep import out_of_order
from applique.sequence.plan import stitch_faults
from applique.sequence.precedence import precedence
from applique.svg.outlines import trace
from applique.svg.read import Reading, covers_block, survey_block
from applique.svg.select import name_of
from applique.svg.tagged import read_steps

TINY_MM = 6.0
"""Pieces narrower than this are hard to cut, lay and hold (common practice)."""

_NEARLY_MM = 0.5
"""What a seam allowance may lack without anybody noticing (common practice)."""

SAME_PLACE_MM2 = 0.5
"""Two outlines that differ by less than this area are one shape drawn twice."""


def check_document(root: etree._Element) -> tuple[Finding, ...]:
    """Every finding about a document: its drawing, its pieces and its stitches."""
    reading = survey_block(root)
    block = reading.block
    findings = list(reading.findings)
    for piece in block.pieces:
        findings.extend(_size_findings(piece))
        findings.extend(_template_findings(piece))
    findings.extend(_short_at_the_seam(block))
    findings.extend(_duplicates(block.pieces))
    findings.extend(_untagged(reading))
    findings.extend(_names(block))
    findings.extend(_steps_findings(root, reading))
    return ordered(findings)


def _size_findings(piece: Piece) -> list[Finding]:
    """Tiny pieces, and places narrower than the edge that goes round them."""
    shape = piece.outline.shape
    left, top, right, bottom = shape.bounds
    narrow_side = min(right - left, bottom - top)
    findings = []
    if narrow_side < TINY_MM:
        text = f"is only {narrow_side:.1f} mm across, hard to cut and lay; make it larger"
        findings.append(warning("tiny", piece.label, text))
    width = piece.settings.edge_inside_mm + piece.settings.edge_outside_mm
    open_places = grown(shrunk(shape, width / 2), width / 2)
    # Corners are narrow at their tips and that is as it should be.
    narrow = [
        part
        for part in polygons_of(shape.difference(open_places.buffer(0.05)))
        if part.area > width * width
    ]
    if narrow:
        place = max(narrow, key=lambda part: part.area).representative_point()
        text = (
            f"is narrower than its {width:g} mm edge in {counted(len(narrow), 'place', 'places')}, "
            "where the stitches of both sides meet; choose a smaller edge-width if need be"
        )
        findings.append(warning("narrow", piece.label, text, (place.x, place.y)))
    return findings


def _short_at_the_seam(block: Block) -> list[Finding]:
    """Pieces that end within the seam allowance: too short for the seam, and no longer at it."""
    frame = block.frame
    if frame is None:
        return []
    findings = []
    for piece in block.pieces:
        left, top, right, bottom = piece.outline.shape.bounds
        beyond = (frame.left - left, frame.top - top, right - frame.right, bottom - frame.bottom)
        short = [mm for mm in beyond if SEAM_TOLERANCE_MM < mm < frame.seam_allowance - _NEARLY_MM]
        if short:
            text = (
                f"goes {short[0]:.1f} mm beyond the seam line, too short for the seam; let it end "
                f"at the seam line, or go beyond by {frame.seam_allowance:g} mm or more"
            )
            findings.append(warning("short-seam", piece.label, text))
    return findings


def _template_findings(piece: Piece) -> list[Finding]:
    """Whether a piece still has the size and shape of the template it was made from."""
    words = size_beside_template(piece.origin, piece.outline.shape)
    if not words or piece.origin is None:
        return []
    text = f"is {words} {piece.origin.template}, so the template itself won't fit it"
    return [warning("not-true", piece.label, text)]


def _duplicates(pieces: Sequence[Piece]) -> list[Finding]:
    shapes = [piece.outline.shape for piece in pieces]
    if len(shapes) < 2:
        return []
    findings = []
    first, second = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    for a, b in zip(first.tolist(), second.tolist(), strict=True):
        if a >= b or abs(shapes[a].area - shapes[b].area) > SAME_PLACE_MM2:
            continue
        if shapely.symmetric_difference(shapes[a], shapes[b]).area < SAME_PLACE_MM2:
            text = f"lies exactly on piece {pieces[a].label}; delete one of the two"
            findings.append(warning("duplicate", pieces[b].label, text))
    return findings


def _untagged(reading: Reading) -> list[Finding]:
    """Filled shapes that were perhaps forgotten: no pieces, because others are tagged."""
    block = reading.block
    page_mm = (2 * block.centre[0], 2 * block.centre[1])
    names = []
    for item in reading.untagged:
        outline = trace([item]).outline
        if outline is not None and not covers_block(outline, block.frame, page_mm):
            names.append(name_of(item))
    if not names:
        return []
    text = f"not tagged, so left as artwork: {', '.join(names)}; select them and use Make Layers"
    return [note("untagged", "", f"{text} if they are pieces")]


def _names(block: Block) -> list[Finding]:
    """Names that machine files can't hold: these know plain ASCII only."""
    names = [("the block's name", block.name)]
    names += [(f"the thread of {piece.label}", piece.thread.name) for piece in block.parts]
    return [
        note("name", "", f"{whose}, '{name}', is written without its accents in machine files")
        for whose, name in dict.fromkeys(names)
        if not name.isascii()
    ]


def _steps_findings(root: etree._Element, reading: Reading) -> list[Finding]:
    """How the pieces lie, and how the stitches stand to the drawing, as a refresh would find it."""
    try:
        found = read_steps(root)
    except InputError as problem:
        return [*lay_all(reading.block)[1], *problem.findings]
    agreement = agreement_of(reading.block, found.steps)
    whole = len(agreement.standings) == len(reading.block.parts)
    stacking = agreement.stacking if whole else lay_all(reading.block)[1]
    findings = [*stacking, *found.findings, *stitch_faults(found.steps)]
    edges_last = reading.block.settings.edges == "last"
    for standing in agreement.standings:
        findings += _standing_findings(standing, edges_last)
    findings += _order_findings(found.steps, agreement.standings, edges_last)
    findings += [
        warning("gone", label, "has stitches but is no longer in the drawing; use Refresh Layers")
        for label in agreement.gone
    ]
    findings += [
        warning("unmade", label, "has no stitches yet; use Make Layers")
        for label in agreement.unmade
    ]
    return findings


def _order_findings(
    steps: Sequence[Step], standings: Sequence[Standing], edges_last: bool
) -> list[Finding]:
    """A step that was dragged to where an upper piece is sewn before one that lies beneath it."""
    comes_first = precedence([standing.laid for standing in standings])
    wrong = out_of_order(steps, comes_first, edges_last)
    if wrong is None:
        return []
    lower, upper = wrong
    text = f"a step of it is sewn before {lower}, which lies beneath it; use Refresh Layers"
    return [warning("order", upper, text)]


def _standing_findings(standing: Standing, edges_last: bool) -> list[Finding]:
    findings = []
    if standing.stale:
        text = "its stitches no longer fit the drawing; use Refresh Layers"
        findings.append(warning("stale", standing.label, text))
    elif missing := standing.missing(edges_last):
        text = f"its {' and '.join(missing)} step is missing; use Refresh Layers"
        findings.append(warning("missing", standing.label, text))
    findings += [
        note("edited", standing.label, f"its {kind} step was edited by hand")
        for kind in standing.edited
    ]
    return findings
