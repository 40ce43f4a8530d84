"""The proof of a layered document: what its stitches will do, before any thread is used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from lxml import etree

from applique.errors import InputError
from applique.model import Block, Laid, LaidPiece, Step
from applique.proof.crowding import counts
from applique.proof.figures import BlockProof
from applique.proof.inspect import inspect_block, needle_points
from applique.proof.judge import judge
from applique.proof.sewn import SewnPath, sewn_paths
from applique.renewal import Agreement, agreement_of, missing_told, relabelled
from applique.report import Finding, errors_in, note, ordered
from applique.sequence.plan import plan_of, stitch_faults
from applique.svg.read import survey_block
from applique.svg.tagged import read_steps

if TYPE_CHECKING:
    from applique.pictures.heat import NeedleMap
    from applique.pictures.scene import Scene
    from applique.pictures.swatches import FabricPrint

BACKGROUND = "#e9ecef"
"""The colour of a background of which nothing is known: a pale grey on which all threads show."""


@dataclass(frozen=True, eq=False)
class Proof:
    """A block, its stitches as the document holds them, their figures, and what falls short."""

    block: Block
    laid: Mapping[str, Laid]
    steps: tuple[Step, ...]
    paths: tuple[SewnPath, ...]
    figures: BlockProof
    findings: tuple[Finding, ...]


def prove_document(root: etree._Element) -> Proof:
    """Look at the stitches of a layered document as they stand, edited or not.

    Raises InputError if it holds none.
    """
    found = read_steps(root)
    if not found.steps:
        raise InputError("there are no stitches; use Make Layers first")
    block = survey_block(root).block
    agreement = agreement_of(block, found.steps)
    laid = {standing.label: standing.laid for standing in agreement.standings}
    steps = relabelled(found.steps, block.parts)
    paths = sewn_paths(steps)
    figures = inspect_block(plan_of(steps, block.name, block.centre), paths, laid, block.frame)
    findings = [
        *found.findings,
        *errors_in(stitch_faults(steps)),
        *judge(figures),
        *_moved_on(agreement, block.settings.edges == "last"),
    ]
    return Proof(block, laid, tuple(steps), tuple(paths), figures, ordered(findings))


def _moved_on(agreement: Agreement, edges_last: bool) -> list[Finding]:
    """Where the stitches are not those of the drawing, and are judged as they stand."""
    told = []
    for standing in agreement.standings:
        if standing.stale:
            text = "the drawing has moved on since its stitches were made; use Refresh Layers"
            told.append(note("stale", standing.label, text))
        told += missing_told(standing, edges_last)
        for kind in standing.edited:
            text = f"its {kind} step was edited by hand and is judged as it stands"
            told.append(note("edited", standing.label, text))
    gone = "is no longer in the drawing, so only its stitches are told; use Refresh Layers"
    unmade = "has no stitches yet; use Make Layers"
    told += [note("gone", label, gone) for label in agreement.gone]
    told += [note("unmade", label, unmade) for label in agreement.unmade]
    return told


def picture_of(
    proof: Proof,
    figures: tuple[str, ...],
    area_mm: tuple[float, float, float, float] | None,
    long_side_px: int | None = None,
) -> bytes:
    """A PNG of the block with thread at its true width, beside its needle map. `figures` stand in
    its title; `area_mm` is the left, top, width and height of what is shown, None for all;
    `long_side_px` is the longer side of either, None for the usual one."""
    from applique.pictures.canvas import LONG_SIDE_PX, Area  # The image library is slow to load.
    from applique.pictures.proof import proof_picture

    return proof_picture(
        proof.block.name,
        figures,
        _scene(proof, {}),
        _needles(proof),
        None if area_mm is None else Area(*area_mm),
        LONG_SIDE_PX if long_side_px is None else long_side_px,
    )


def pictures_of(
    proof: Proof,
    figures: tuple[str, ...],
    long_side_px: int,
    prints: Mapping[str, FabricPrint],
) -> tuple[bytes, bytes]:
    """Two PNGs from one drawing: the picture of `picture_of` with the whole block, `long_side_px`
    long, and the finished block without words for a page. Fabrics of which the
    print is known, by name, show it."""
    from applique.pictures.canvas import Area
    from applique.pictures.proof import proof_and_block

    scene = _scene(proof, prints)
    frame = proof.block.frame
    block = scene.area if frame is None else Area(frame.left, frame.top, frame.width, frame.height)
    return proof_and_block(proof.block.name, figures, scene, _needles(proof), block, long_side_px)


def _scene(proof: Proof, prints: Mapping[str, FabricPrint]) -> Scene:
    from applique.pictures.scene import FabricShape, Scene

    fabrics = [
        FabricShape(label, laid.piece.colour, laid.cut, prints.get(laid.piece.fabric))
        for label, laid in proof.laid.items()
        if isinstance(laid, LaidPiece) and not laid.hidden
    ]
    block = proof.block
    colours = {fabric.name: fabric.colour for fabric in block.fabrics}
    ground = colours.get(block.background, BACKGROUND)
    return Scene(ground, proof.steps, fabrics, prints.get(block.background))


def _needles(proof: Proof) -> NeedleMap:
    """The needle points of all edges and underlays, ties aside, and how many of the same piece lie
    within 1 mm about each: what the figures are told of."""
    from applique.pictures.heat import NeedleMap

    by_piece: dict[str, list[SewnPath]] = {}
    for path in proof.paths:
        by_piece.setdefault(path.piece, []).append(path)
    points = [needle_points(paths) for paths in by_piece.values()]
    if not points:
        return NeedleMap(np.zeros((0, 2)), np.zeros(0, dtype=int))
    return NeedleMap(np.vstack(points), np.concatenate([counts(each) for each in points]))
