"""Sizes, pauses and cautions as a card words them."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import groupby

from applique.paper.content import CardPiece, Pause
from applique.paper.letters import shortened
from applique.paper.sizes import SizeMm
from applique.units import MM_PER_INCH, compact

SIXTEENTH = Fraction(1, 16)
"""What a quilter's ruler shows of an inch."""

CAUTION = (
    "Needle and blades are sharp and the iron is hot: keep your fingers clear, stop the machine "
    "before you reach in, and follow the instructions that came with your machine and iron."
)
TRIM = (
    "To trim, take the hoop off the machine and cut close to the line, holes too, blades away from "
    "fingers."
)
_FABRIC_MM = 34.0
"""Room for a fabric's name in the laying order, in letters of 2.8 mm."""

_METHODS = {"cut-first": "cut first", "cut-in-hoop": "cut in hoop", "turned": "turned"}


def inches(length_mm: float) -> str:
    """A length to the nearest sixteenth of an inch: `3 1/4`."""
    whole, part = divmod(round(length_mm / MM_PER_INCH / float(SIXTEENTH)), 16)
    if not part:
        return str(whole)
    fraction = Fraction(part, 16)
    written = f"{fraction.numerator}/{fraction.denominator}"
    return f"{whole} {written}" if whole else written


def size_words(size_mm: SizeMm) -> str:
    """A size in mm and inches."""
    width, height = size_mm
    return f"{compact(width, 1)} × {compact(height, 1)} mm ({inches(width)} × {inches(height)} in)"


def length_words(length_mm: float) -> str:
    """A length in mm and inches."""
    return f"{compact(length_mm, 2)} mm ({inches(length_mm)} in)"


def method_words(piece: CardPiece) -> str:
    """The method, and how much larger all round the fabric is cut."""
    name = _METHODS.get(piece.method, piece.method)
    return f"{name}, +{compact(piece.extra_mm, 2)}" if piece.extra_mm else name


def template_words(piece: CardPiece) -> str:
    """The template, its version, and what is to be remarked."""
    name = piece.template
    if name and piece.template_version:
        name += f", version {piece.template_version}"
    return ", ".join(part for part in (name, piece.remark) if part)


def pause_words(pause: Pause, pieces: Mapping[str, CardPiece]) -> str:
    """What is done at a pause, in a few words; `pieces` are those of the block by label."""
    sentences = [pause.words]
    if pause.trimmed:
        sentences.append(f"Trim {', '.join(pause.trimmed)}.")
    laid = [pieces[label] for label in pause.laid if label in pieces]
    if laid:
        parts = [_lay_words(list(group)) for _, group in groupby(laid, key=_way_of_laying)]
        sentences.append(f"Lay {'; '.join(parts)}.")
    return " ".join(sentence for sentence in sentences if sentence)


def _way_of_laying(piece: CardPiece) -> tuple[str, str]:
    return piece.method, piece.fabric


def _lay_words(pieces: list[CardPiece]) -> str:
    """Pieces of one fabric and method that are laid one after the other."""
    labels = ", ".join(piece.label for piece in pieces)
    method, named = _way_of_laying(pieces[0])
    fabric = shortened(named, 2.8, _FABRIC_MM)
    if method == "cut-in-hoop":
        return f"a patch over {labels} ({fabric})"
    return f"{labels} ({fabric}, turned)" if method == "turned" else f"{labels} ({fabric})"
