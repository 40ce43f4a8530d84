"""A template as it is kept in a library: its names, its version and its outline at true size."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass

import numpy as np
import shapely

from applique.geometry.curves import polyline, transformed
from applique.geometry.rings import rings_of
from applique.model import Curve, Outline
from applique.units import compact

_WRONG_IN_ID = re.compile(r"[^A-Za-z0-9_.-]")

SIZE_DIGITS = 2
"""Sizes are told to a hundredth of a millimetre: scissors follow no less than a tenth."""


@dataclass(frozen=True, eq=False)
class Master:
    """A template to be put into a library. `outline` is in mm, as it lies on its page; `page` names
    the page it was traced on."""

    number: str
    set_name: str
    version: int
    outline: Outline
    page: str

    @property
    def name(self) -> str:
        """What the template is called: its set's prefix and its number."""
        return f"{self.set_name}{self.number}"


def symbol_id(name: str, version: int, data: str) -> str:
    """The id of a template's symbol; letters that an id can't have become underscores.

    Its path data go into it: two sets may each have a 17, and an editor that finds an id in a
    drawing already takes what has it for the same symbol.
    """
    digest = hashlib.sha256(data.encode()).hexdigest()[:_DIGEST_LETTERS]
    return f"template-{_WRONG_IN_ID.sub('_', name)}-v{version}-{digest}"


_DIGEST_LETTERS = 6


def title_of(name: str, version: int, is_newest: bool) -> str:
    """What the editor's Symbols dialog calls a template."""
    return name if is_newest else f"{name} (version {version}, replaced)"


def size_text(size_mm: tuple[float, float]) -> str:
    """A size as it is written into a library: `32.1x18`."""
    return "x".join(compact(side, SIZE_DIGITS) for side in size_mm)


def size_of(outline: Outline) -> tuple[float, float]:
    """Width and height of an outline's box in mm."""
    left, top, right, bottom = outline.shape.bounds
    return float(right - left), float(bottom - top)


def moved(outline: Outline, matrix: np.ndarray) -> Outline:
    """An outline moved by a (2, 3) matrix that keeps lengths; a reflection turns the direction of
    its rings, which fill alike either way."""
    shape = shapely.transform(outline.shape, lambda p: p @ matrix[:, :2].T + matrix[:, 2])
    return Outline(shape, tuple(transformed(curve, matrix) for curve in outline.curves))


def at_origin(outline: Outline) -> Outline:
    """An outline with the upper left corner of its box at (0, 0)."""
    left, top, _, _ = outline.shape.bounds
    return moved(outline, np.array([[1.0, 0.0, -left], [0.0, 1.0, -top]]))


def curves_of(outline: Outline) -> tuple[Curve, ...]:
    """The closed curves of an outline: its own, or straight lines where its rings were remade."""
    return outline.curves or tuple(polyline(ring, True) for ring in rings_of(outline.shape))
