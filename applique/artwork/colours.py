"""Fabrics from colours: near-identical ones become one, each gets a name that can be read.

Colours are compared in CIELAB by the distance of CIE 1976 (CIE 15, "Colorimetry"): sRGB made linear
by IEC 61966-2-1, its matrix to XYZ, white D65.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from applique.artwork.names import named_colours
from applique.model import Fabric
from applique.report import Finding, note

_TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
_WHITE = _TO_XYZ.sum(axis=1)
_KNEE = 6 / 29
"""Where the cube root of CIELAB gives way to a straight line."""


@dataclass(frozen=True)
class Palette:
    """The fabric that stands for each colour (#rrggbb), and what was merged."""

    fabrics: Mapping[str, Fabric]
    findings: tuple[Finding, ...]


def palette_of(colours: Iterable[str], merge_delta: float) -> Palette:
    """A fabric for every colour, in order of use. A colour nearer than `merge_delta` (CIE 1976) to
    one used before shares its fabric; 0 merges none."""
    unique = list(dict.fromkeys(colours))
    labs = np.array([lab(colour) for colour in unique]).reshape(-1, 3)
    kept: list[int] = []
    kept_labs = np.empty_like(labs)
    stands_for: dict[str, str] = {}
    for k, colour in enumerate(unique):
        apart = kept_labs[: len(kept)] - labs[k]
        distances = np.sqrt(np.einsum("ij,ij->i", apart, apart))
        if len(kept) == 0 or distances.min() >= merge_delta:
            kept_labs[len(kept)] = labs[k]
            kept.append(k)
            stands_for[colour] = colour
        else:
            stands_for[colour] = unique[kept[int(distances.argmin())]]
    names = _names([unique[k] for k in kept])
    fabrics = {unique[k]: Fabric(name, unique[k]) for k, name in zip(kept, names, strict=True)}
    found = {colour: fabrics[near] for colour, near in stands_for.items()}
    return Palette(found, tuple(_merged(stands_for, fabrics)))


def difference(colour: str, other: str) -> float:
    """How unlike two colours (#rrggbb) look: their distance in CIELAB (CIE 1976)."""
    return math.dist(lab(colour), lab(other))


def colour_name(colour: str) -> str:
    """The named colour of CSS that looks most like a colour (#rrggbb)."""
    words, labs = _named_labs()
    return words[int(np.linalg.norm(labs - np.array(lab(colour)), axis=1).argmin())]


@cache
def lab(colour: str) -> tuple[float, float, float]:
    """L*, a* and b* of a colour (#rrggbb)."""
    channels = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255
    # IEC 61966-2-1, section 5.2.
    linear = np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)
    ratio = _TO_XYZ @ linear / _WHITE
    x, y, z = np.where(ratio > _KNEE**3, np.cbrt(ratio), ratio / (3 * _KNEE**2) + 4 / 29)
    return float(116 * y - 16), float(500 * (x - y)), float(200 * (y - z))


@cache
def _named_labs() -> tuple[tuple[str, ...], np.ndarray]:
    named = named_colours()
    return tuple(named), np.array([lab(colour) for colour in named.values()])


def _names(colours: Sequence[str]) -> list[str]:
    """A name for each colour, those of one word told apart: sea green, sea green 2."""
    used: dict[str, int] = {}
    names = []
    for colour in colours:
        word = colour_name(colour)
        used[word] = used.get(word, 0) + 1
        names.append(word if used[word] == 1 else f"{word} {used[word]}")
    return names


def _merged(stands_for: Mapping[str, str], fabrics: Mapping[str, Fabric]) -> Iterable[Finding]:
    gone: dict[str, list[str]] = {}
    for colour, near in stands_for.items():
        if colour != near:
            gone.setdefault(near, []).append(colour)
    for near, colours in gone.items():
        text = f"takes in {', '.join(colours)} too, which look almost like its {near}"
        yield note("merged", fabrics[near].name, f"{text}; --merge-colours 0 keeps them apart")
