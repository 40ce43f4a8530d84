"""Letters of single strokes, for pens and for lines that need no font.

Drawn for this project on a grid four units wide and six high; y runs down from the top of the
letters. Letters without a drawing of their own fall back to their plain capital, else to a box.
"""

from __future__ import annotations

import unicodedata

import numpy as np

_HEIGHT = 6.0
_ADVANCE = 5.5
_NARROW_ADVANCE = 3.0

_STROKES = {
    "A": "0,6 2,0 4,6|0.7,4 3.3,4",
    "B": "0,0 0,6 3,6 4,5 4,4 3,3 0,3|3,3 3.6,2.2 3.6,0.8 3,0 0,0",
    "C": "4,1 3,0 1,0 0,1 0,5 1,6 3,6 4,5",
    "D": "0,0 0,6 2.5,6 4,4.5 4,1.5 2.5,0 0,0",
    "E": "4,0 0,0 0,6 4,6|0,3 3,3",
    "F": "4,0 0,0 0,6|0,3 3,3",
    "G": "4,1 3,0 1,0 0,1 0,5 1,6 3,6 4,5 4,3 2.5,3",
    "H": "0,0 0,6|4,0 4,6|0,3 4,3",
    "I": "2,0 2,6",
    "J": "4,0 4,5 3,6 1,6 0,5",
    "K": "0,0 0,6|4,0 0,3.5|1.3,2.5 4,6",
    "L": "0,0 0,6 4,6",
    "M": "0,6 0,0 2,3 4,0 4,6",
    "N": "0,6 0,0 4,6 4,0",
    "O": "1,0 3,0 4,1 4,5 3,6 1,6 0,5 0,1 1,0",
    "P": "0,6 0,0 3,0 4,1 4,2.3 3,3.3 0,3.3",
    "Q": "1,0 3,0 4,1 4,5 3,6 1,6 0,5 0,1 1,0|2.5,4.5 4.2,6.4",
    "R": "0,6 0,0 3,0 4,1 4,2.3 3,3.3 0,3.3|2,3.3 4,6",
    "S": "4,1 3,0 1,0 0,1 0,2 1,3 3,3 4,4 4,5 3,6 1,6 0,5",
    "T": "0,0 4,0|2,0 2,6",
    "U": "0,0 0,5 1,6 3,6 4,5 4,0",
    "V": "0,0 2,6 4,0",
    "W": "0,0 1,6 2,2 3,6 4,0",
    "X": "0,0 4,6|4,0 0,6",
    "Y": "0,0 2,3 4,0|2,3 2,6",
    "Z": "0,0 4,0 0,6 4,6",
    "0": "1,0 3,0 4,1 4,5 3,6 1,6 0,5 0,1 1,0|0.6,4.8 3.4,1.2",
    "1": "0.8,1.2 2,0 2,6",
    "2": "0,1 1,0 3,0 4,1 4,2 0,6 4,6",
    "3": "0,1 1,0 3,0 4,1 4,2 3,3 1.5,3|3,3 4,4 4,5 3,6 1,6 0,5",
    "4": "3,6 3,0 0,4 4,4",
    "5": "4,0 0,0 0,2.6 3,2.6 4,3.6 4,5 3,6 1,6 0,5",
    "6": "3.6,0.4 3,0 1.4,0 0,1.6 0,5 1,6 3,6 4,5 4,3.6 3,2.7 1,2.7 0,3.6",
    "7": "0,0 4,0 1.5,6",
    "8": "1,0 3,0 4,1 4,2 3,3 1,3 0,2 0,1 1,0|1,3 0,4 0,5 1,6 3,6 4,5 4,4 3,3",
    "9": "0.4,5.6 1,6 2.6,6 4,4.4 4,1 3,0 1,0 0,1 0,2.4 1,3.3 3,3.3 4,2.4",
    "-": "0.6,3 3.4,3",
    "+": "0.4,3 3.6,3|2,1.4 2,4.6",
    ".": "0.4,5.6 0.4,6",
    ",": "0.8,5.4 0.2,6.8",
    ":": "0.4,2 0.4,2.4|0.4,5.2 0.4,5.6",
    "/": "0,6.4 4,-0.4",
    "#": "1.4,0 0.8,6|3.2,0 2.6,6|0,2 4,2|0,4 4,4",
    "(": "1.4,-0.4 0.4,1.2 0.4,4.8 1.4,6.4",
    ")": "0.4,-0.4 1.4,1.2 1.4,4.8 0.4,6.4",
    "'": "0.4,0 0.4,1.4",
    "_": "0,6.4 4,6.4",
    "%": "0,6 4,0|0.6,0 1.6,0 1.6,1.6 0.6,1.6 0.6,0|2.4,4.4 3.4,4.4 3.4,6 2.4,6 2.4,4.4",
    "&": "4,6 0.6,1.6 0.6,0.6 1.2,0 2.2,0 2.8,0.6 2.8,1.4 0,3.8 0,5 1,6 2.4,6 4,3.6",
}
_BOX = "0,0 4,0 4,6 0,6 0,0"
_NARROW = frozenset(".,:'()")


def lettered(text: str, height_mm: float) -> list[np.ndarray]:
    """Text as single-stroke lines, (n, 2) arrays of mm, its top left corner at (0, 0)."""
    scale = height_mm / _HEIGHT
    lines = []
    x = 0.0
    for character in _plain(text):
        if character != " ":
            for stroke in _STROKES.get(character, _BOX).split("|"):
                points = np.array([pair.split(",") for pair in stroke.split()], dtype=float)
                lines.append((points + np.array([x, 0.0])) * scale)
        x += _NARROW_ADVANCE if character in _NARROW else _ADVANCE
    return lines


def lettering_width(text: str, height_mm: float) -> float:
    """How wide a text of a given height is, in mm."""
    advances = [_NARROW_ADVANCE if character in _NARROW else _ADVANCE for character in _plain(text)]
    return max(sum(advances) - 1.5, 0.0) * height_mm / _HEIGHT


def _plain(text: str) -> str:
    """Capitals without accents."""
    decomposed = unicodedata.normalize("NFKD", text.upper())
    return "".join(mark for mark in decomposed if not unicodedata.combining(mark))
