"""The stitches and fabrics of a stitch-out page, packed as the page's scripts read them.

A penetration is a move in whole steps of 0.1 mm, a machine file's own, from the one before. Each
number of a move is written as a variable-length integer: zigzag (0, -1, 1, -2 ... as 0, 1, 2, 3
...), then seven bits a byte from the lowest, the eighth bit set where another byte follows.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Iterable
from typing import Any

import numpy as np
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import rings_of
from applique.pages.stitchout_content import Patch, PlayedBlock, Sitting, StitchOut

STEPS_PER_MM = 10
"""The frame of a machine moves by 0.1 mm."""

FLATNESS_MM = 0.02
"""Fabrics are drawn within so much of their outline: a tenth of what a hand can lay."""


def packed(content: StitchOut) -> str:
    """Everything that is played, as JSON: numbers, words and the moves in base64."""
    runs = [run for s in content.sittings for block in s.blocks for run in block.runs]
    origin = runs[0][0] if runs else np.zeros(2)
    patches = [p for s in content.sittings for block in s.blocks for p in block.laid]
    numbers = {patch.label: number for number, patch in enumerate(patches)}
    pictures = sorted({patch.picture for patch in patches if patch.picture})
    record = {
        "title": content.title,
        "background": content.background_colour,
        "area": _rounded(content.area_mm),
        "seam": None if content.seam_box_mm is None else _rounded(content.seam_box_mm),
        "origin": [round(float(value), 4) for value in origin],
        "pictures": pictures,
        "patches": [_patch(patch, pictures) for patch in patches],
        "sittings": [_sitting(sitting, numbers) for sitting in content.sittings],
        "moves": base64.b64encode(moves_of(runs)).decode("ascii"),
    }
    return json.dumps(record, ensure_ascii=False, separators=(",", ":"))


def moves_of(runs: Iterable[np.ndarray]) -> bytes:
    """All penetrations of runs (n, 2) of mm as moves from the first one, in bytes."""
    points = [run for run in runs if len(run)]
    if not points:
        return b""
    everything = np.vstack(points)
    steps = np.rint((everything - everything[0]) * STEPS_PER_MM).astype(np.int64)
    moves = np.diff(steps, axis=0, prepend=np.zeros((1, 2), np.int64)).ravel()
    return varints((moves << 1) ^ (moves >> 63))


def varints(numbers: np.ndarray) -> bytes:
    """Whole numbers (n,) from 0 to 2**35, each in as few bytes of seven bits as hold it."""
    lengths = np.ones(len(numbers), np.int64)
    for bits in (7, 14, 21, 28):
        lengths += numbers >= 1 << bits
    ends = np.cumsum(lengths)
    found = np.zeros(int(lengths.sum()), np.uint8)
    for place in range(5):
        has = lengths > place
        more = np.where(lengths[has] > place + 1, 0x80, 0)
        found[(ends - lengths)[has] + place] = (numbers[has] >> 7 * place & 0x7F) | more
    return found.tobytes()


def _rounded(numbers: Iterable[float]) -> list[float]:
    return [round(float(number), 2) for number in numbers]


def _sitting(sitting: Sitting, numbers: dict[str, int]) -> dict[str, Any]:
    box = sitting.field_box_mm
    return {
        "title": sitting.title,
        "field": None if box is None else _rounded(box),
        "blocks": [_block(block, numbers) for block in sitting.blocks],
    }


def _block(block: PlayedBlock, numbers: dict[str, int]) -> dict[str, Any]:
    return {
        "colour": block.colour,
        "runs": [len(run) for run in block.runs if len(run)],
        "laid": [numbers[patch.label] for patch in block.laid],
        "trimmed": [numbers[label] for label in block.trimmed if label in numbers],
    }


def _patch(patch: Patch, pictures: list[str]) -> dict[str, Any]:
    untrimmed = patch.untrimmed
    return {
        "label": patch.label,
        "colour": patch.colour,
        "path": path_data(patch.shape),
        "untrimmed": "" if untrimmed is None else path_data(untrimmed),
        "picture": pictures.index(patch.picture) if patch.picture else -1,
        "size": _rounded(patch.picture_mm),
    }


def path_data(shape: BaseGeometry) -> str:
    """A shape as SVG path data of straight lines, to be filled by the even-odd rule, in mm."""
    rings = rings_of(shape.simplify(FLATNESS_MM))
    return "".join(_ring(np.asarray(ring)) for ring in rings)


def _ring(points: np.ndarray) -> str:
    pairs = [f"{x:g} {y:g}" for x, y in np.round(points, 2).tolist()]
    return f"M{'L'.join(pairs)}Z"
