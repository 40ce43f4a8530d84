"""A machine file as it will look, on a plain ground: the thread alone, without fabrics."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from applique.model import ThreadBlock
from applique.pictures.canvas import area_round
from applique.pictures.png import png_bytes
from applique.pictures.scene import MARGIN_MM, Stitches
from applique.pictures.stitched import stitched

GROUND = "#e9ecef"
"""A pale grey on which all threads show."""


def filed_picture(blocks: Sequence[ThreadBlock]) -> bytes:
    """A PNG of thread blocks in the order of sewing; raises ValueError if there is no stitch."""
    points = np.vstack([run for block in blocks for run in block.runs])
    (left, top), (right, bottom) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    area = area_round((left, top, right, bottom), MARGIN_MM)
    return png_bytes(stitched([_stitches(block) for block in blocks], GROUND, area))


def _stitches(block: ThreadBlock) -> Stitches:
    return Stitches(
        block.thread.colour,
        np.vstack([run[:-1] for run in block.runs]),
        np.vstack([run[1:] for run in block.runs]),
    )
