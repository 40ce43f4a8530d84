"""A block looked over and proved: what its stitches will do, in figures and a picture; and how it
will look."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping

from applique.building.asked import ProofAsked
from applique.building.task import Given, Made
from applique.building.works.swatched import prints_of
from applique.checks import check_document
from applique.files import parse_svg
from applique.model import LaidPiece, Piece
from applique.pictures.swatches import FabricPrint
from applique.proofing import BACKGROUND, Proof, pictures_of, prove_document
from applique.quilt.shadow import shadowing
from applique.report import Finding, ordered
from applique.threads.difference import lightness

PICTURE_PX = 1400
"""Longer side of each half of the proof's picture: in a block of 10 in a thread is 2.2 px wide."""


def make(asked: ProofAsked, given: Given) -> Made:
    """The figures as JSON, and the pictures; tells what is worth a second look, and where a dark
    fabric will shadow through a light one."""
    root = parse_svg(io.BytesIO(given.files[asked.layers]), asked.layers).getroot()
    proof = prove_document(root)
    prints, _ = prints_of(asked.swatches)  # What can't be read is told by the quilt's front.
    figures = proof.figures
    words = (
        f"{figures.stitches} STITCHES",
        f"{figures.time.machine_minutes:.0f} MIN AT THE MACHINE",
    )
    picture, block = pictures_of(proof, words, PICTURE_PX, prints)
    record = json.dumps(figures.as_dict(), indent=1, ensure_ascii=False)
    return Made(
        {
            asked.figures: record.encode() + b"\n",
            asked.proof_picture: picture,
            asked.picture: block,
        },
        {},
        ordered([*check_document(root), *proof.findings, *_shadows(proof, prints)]),
    )


def _shadows(proof: Proof, prints: Mapping[str, FabricPrint]) -> tuple[Finding, ...]:
    """Where dark fabrics will show through; a print is as light as it looks from afar."""
    block = proof.block
    colours = {fabric.name: fabric.colour for fabric in block.fabrics}
    colours |= {name: it.colour for name, it in prints.items()}

    def light(piece: Piece) -> float:
        return lightness(colours.get(piece.fabric, piece.colour))

    ground = lightness(colours.get(block.background, BACKGROUND))
    laid = [item for item in proof.laid.values() if isinstance(item, LaidPiece)]
    return shadowing(laid, (block.background, ground), light)
