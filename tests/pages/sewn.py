"""Blocks to play in the tests and in the benchmark, made in one line."""

from __future__ import annotations

import math

import numpy as np
import shapely

from applique.pages.stitchout_content import Patch, PlayedBlock, Sitting, StitchOut

COLOURS = ("#b2392f", "#2f6f8f", "#f4cf5e", "#7d7f80", "#fbf7ee", "#2b2f33")
GROUND = "#cfe3ea"


def satin_ring(x: float, y: float, radius_mm: float, width_mm: float, count: int) -> np.ndarray:
    """So many penetrations of satin in turns round a middle, going inwards."""
    turns = max(1, round(count * 0.2 / (2 * math.pi * radius_mm)))
    angle = np.linspace(0, 2 * math.pi * turns, count)
    inwards = np.linspace(0, turns - 1, count) * width_mm
    radius = np.maximum(radius_mm - inwards, width_mm) + np.where(np.arange(count) % 2, 0, width_mm)
    return np.stack([x + radius * np.cos(angle), y + radius * np.sin(angle)], axis=1)


def many_discs(count: int, discs: int = 36) -> StitchOut:
    """A block of `count` penetrations: discs of fabric on a grid, each covered with rings of
    satin 3.5 mm wide; a stop before each."""
    columns = math.ceil(math.sqrt(discs))
    blocks = []
    shares = np.diff(np.linspace(0, count, discs + 1).astype(int))
    for k, share in enumerate(shares.tolist()):
        x, y = 30.0 + 42.0 * (k % columns), 30.0 + 42.0 * (k // columns)
        disc = shapely.Point(x, y).buffer(22.0)
        patch = Patch(str(k + 1), "cloth", COLOURS[(k + 1) % len(COLOURS)], disc)
        blocks.append(
            PlayedBlock(
                colour=COLOURS[k % len(COLOURS)],
                thread_name="",
                screen_colour="",
                runs=(satin_ring(x, y, 20.0, 3.5, share),),
                laid=(patch,),
                words=f"Lay cloth over the line of {k + 1}.",
                labels=(str(k + 1),),
            )
        )
    side = 18.0 + 42.0 * columns
    area = (0.0, 0.0, side, side)
    return StitchOut("Discs", GROUND, area, None, (Sitting("", None, tuple(blocks)),))
