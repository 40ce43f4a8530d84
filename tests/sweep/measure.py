"""One drawing of the sweep: made into layers, written, proved, and timed."""

from __future__ import annotations

import time
import traceback
from dataclasses import dataclass
from pathlib import Path

from applique.errors import InputError
from applique.layering.stack import lay
from applique.model import LaidPiece
from applique.pipeline import make_layers, read_plan
from applique.proof.figures import PieceProof
from applique.proofing import prove_document
from applique.stitches.satin import satin
from applique.stitches.underlay import underlay
from applique.svg.read import Request, read_block
from tests.sweep.artwork import ArtworkSet, as_block


@dataclass(frozen=True)
class Row:
    """A piece of a drawing. Shares are 0 to 1; None where a figure does not apply."""

    drawing: str
    piece: str
    edge: str
    covered: float | None = None
    overspill: float | None = None
    rail_short_mm: float | None = None
    crowding: int | None = None
    shortest_mm: float | None = None
    longest_mm: float | None = None
    unequal_percent: float | None = None
    off_setting_percent: float | None = None
    askew_degrees: float | None = None
    milliseconds: float | None = None
    findings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Outcome:
    """What became of a drawing: its rows, a refusal in one sentence, or the exception it raised."""

    drawing: str
    rows: tuple[Row, ...] = ()
    refused: str = ""
    exception: str = ""


def swept(path: Path, artwork: ArtworkSet, settings: dict[str, float | str]) -> Outcome:
    """Make a drawing into layers and look at what came of it."""
    name = path.stem
    try:
        return Outcome(name, _rows(path, artwork, settings))
    except InputError as problem:
        sentences = [finding.sentence() for finding in problem.findings] or [str(problem)]
        return Outcome(name, refused=sentences[-1])
    except Exception:
        return Outcome(name, exception=traceback.format_exc(limit=-3))


def _rows(path: Path, artwork: ArtworkSet, settings: dict[str, float | str]) -> tuple[Row, ...]:
    request = Request(settings=settings)
    laid, _ = lay(read_block(as_block(path, artwork), request).block)
    times = {piece.piece.label: _milliseconds(piece) for piece in laid if piece.edges}
    root = as_block(path, artwork)
    make_layers(root, request)
    read_plan(root)
    proof = prove_document(root)
    codes: dict[str, list[str]] = {}
    for finding in proof.findings:
        codes.setdefault(finding.object, []).append(finding.code)
    return tuple(
        _row(path.stem, piece, times.get(piece.label), tuple(codes.get(piece.label, ())))
        for piece in proof.figures.pieces
    )


def _milliseconds(piece: LaidPiece) -> float | None:
    """How long the satin of a piece with its underlay takes, in ms of one core."""
    if piece.piece.settings.edge != "satin":
        return None
    start = time.process_time()
    satin(piece)
    underlay(piece)
    return 1000 * (time.process_time() - start)


def _row(drawing: str, piece: PieceProof, took: float | None, codes: tuple[str, ...]) -> Row:
    cover, blanket, lengths = piece.cover, piece.blanket, piece.edge_lengths
    return Row(
        drawing=drawing,
        piece=piece.label,
        edge=piece.edge,
        covered=None if cover is None else cover.covered,
        overspill=None if cover is None else cover.overspill,
        rail_short_mm=None if cover is None else cover.rail_short_mm,
        crowding=None if piece.crowding is None else piece.crowding.most,
        shortest_mm=None if lengths is None else lengths.shortest_mm,
        longest_mm=None if lengths is None else lengths.longest_mm,
        unequal_percent=None if blanket is None else blanket.unequal_percent.value,
        off_setting_percent=None if blanket is None else blanket.off_setting_percent.value,
        askew_degrees=None if blanket is None else blanket.askew_degrees.value,
        milliseconds=took,
        findings=codes,
    )
