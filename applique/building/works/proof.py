"""A block's proof: what its stitches will do, in figures and a picture."""

from __future__ import annotations

import io
import json

from applique.building.asked import ProofAsked
from applique.building.task import Given, Made
from applique.files import parse_svg
from applique.proofing import picture_of, prove_document


def make(asked: ProofAsked, given: Given) -> Made:
    """The figures as JSON, and the picture."""
    root = parse_svg(io.BytesIO(given.files[asked.layers]), asked.layers).getroot()
    proof = prove_document(root)
    told = json.dumps(proof.figures.as_dict(), indent=1, ensure_ascii=False)
    figures = proof.figures
    words = (
        f"{figures.stitches} STITCHES",
        f"{figures.time.machine_minutes:.0f} MIN AT THE MACHINE",
    )
    files = {
        asked.figures: told.encode() + b"\n",
        asked.picture: picture_of(proof, words, None),
    }
    return Made(files, {}, proof.findings)
