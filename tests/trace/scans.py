"""Made pages with ground truth, from the generator in ../shared, where that is present."""

from __future__ import annotations

import importlib.util
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import shapely

GENERATOR = Path(__file__).resolve().parents[3] / "shared" / "tools" / "make_scans.py"

ABSENT = "needs ../shared/tools/make_scans.py, which is not here"


def generator() -> ModuleType:
    """The generator, loaded from its file."""
    spec = importlib.util.spec_from_file_location("make_scans", GENERATOR)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


_FINE_SAMPLES = 16


def fine_generator() -> ModuleType:
    """The generator, painting ink with 16 samples along each pixel's side in the place of its own
    4. It counts every sample that an outline touches as ink, so that all ink comes out fatter than
    its truth by half a sample on each side: 0.0097 mm at 300 dpi as it stands, 0.0024 mm so (rings
    of known area cover that much more)."""
    make = generator()
    make.SS = _FINE_SAMPLES  # type: ignore[attr-defined]
    return make


@dataclass(frozen=True, eq=False)
class TruePiece:
    """What is true of one traced piece, in mm on the page's picture: the inner edge of its ink with
    the gap closed, its template, its corners; its gap from ink to ink, 0 for none; its tags;
    whether any other line or number touches its line."""

    inner: np.ndarray
    template: np.ndarray
    corners: np.ndarray
    pen_mm: float
    gap_mm: float
    gap_at: np.ndarray | None
    tags: frozenset[str]
    number: int
    kind: str
    touched: bool


@dataclass(frozen=True, eq=False)
class MadePage:
    """A made page: its picture, and its pieces in the order of their numbers."""

    name: str
    grey: np.ndarray
    rgb: np.ndarray
    mm_per_px: float
    pieces: tuple[TruePiece, ...]
    paper_mm: tuple[float, float]


def made_page(
    make: ModuleType, seed: int, dpi: int, paper: str, kind: str, level: str, **changes: Any
) -> MadePage:
    """A page of the generator with what is true of it."""
    rgb, truth = make.make_page(seed, dpi, paper, kind, level, **changes)
    # Luma as a scanner's grey mode has it (ITU-R BT.601), the way Pillow reckons it.
    weights = np.array([19595, 38470, 7471])
    grey = ((rgb.astype(np.int64) @ weights + 0x8000) >> 16).astype(np.uint8)
    drawn = _drawn(make, seed, paper, kind, level, changes)
    pieces = tuple(
        _piece(told, known, _is_touched(known, drawn))
        for told, known in zip(truth["pieces"], drawn, strict=True)
    )
    name = f"{kind} {level} {dpi} dpi, seed {seed}"
    return MadePage(name, grey, rgb, 25.4 / dpi, pieces, tuple(truth["page_mm"]))


def _drawn(
    make: ModuleType, seed: int, paper: str, kind: str, level: str, changes: dict[str, Any]
) -> list[dict[str, Any]]:
    """The same pieces once more, for their ink: the generator keeps it to itself."""
    rng = np.random.default_rng([seed, {"scan": 0, "photo": 1}[kind]])
    settings = {**make.LEVEL[level], **(changes.get("overrides") or {})}
    pieces, _ = make.make_content(rng, paper, settings, changes.get("first", 1))
    return pieces


def _is_touched(piece: dict[str, Any], pieces: list[dict[str, Any]]) -> bool:
    ink = piece["ink"]
    numbers = (other["num"] for other in pieces)
    lines = (other["ink"] for other in pieces if other is not piece)
    return any(ink.distance(other) < _TOUCHING_MM for other in (*numbers, *lines))


_TOUCHING_MM = 0.15
"""Ink nearer than this runs together in a picture of 300 dpi."""


def _piece(told: dict[str, Any], drawn: dict[str, Any], touched: bool) -> TruePiece:
    return TruePiece(
        inner=np.array(told["ink_inner_img"]),
        template=np.array(told["template_img"]),
        corners=np.array(told["corners_img"]).reshape(-1, 2),
        pen_mm=told["pen"],
        gap_mm=_ink_to_ink(drawn) if told["gap"] else 0.0,
        gap_at=np.array(told["gap_at_img"]) if told["gap"] else None,
        tags=frozenset(told["tags"]),
        number=told["number"],
        kind=told["kind"],
        touched=touched,
    )


def _ink_to_ink(drawn: dict[str, Any]) -> float:
    """How wide a gap really is. The generator rounds the gap it was asked for to steps of a quarter
    of a millimetre, so that it is measured on the ink: between the line's two ends, which are what
    is left near the gap when the ink is cut to its surroundings."""
    place = shapely.Point(drawn["gap_at"])
    for reach in (drawn["gap"] / 2 + 0.6 * drawn["pen"], drawn["gap"] / 2 + 0.3 * drawn["pen"]):
        near = shapely.intersection(drawn["ink"], place.buffer(reach, quad_segs=64))
        parts = sorted(shapely.get_parts(near), key=lambda part: -part.area)
        if len(parts) >= 2:
            return float(parts[0].distance(parts[1]))
    return float(drawn["gap"])
