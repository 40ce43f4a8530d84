"""Which letters the PDF's own Helvetica has, what stands in for others, and how wide a text is.

Widths are those of Adobe's metrics for the standard 14 fonts, in thousandths of the size. Helvetica
in a PDF has the letters of Windows code page 1252 (PDF 32000-1, annex D).
"""

from __future__ import annotations

import unicodedata
from bisect import bisect_left
from functools import lru_cache

_REGULAR = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 "
    "556 556 556 556 556 556 556 556 556 556 278 278 584 584 584 556 "
    "1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 "
    "667 778 722 667 611 722 667 944 667 667 611 278 278 278 469 556 "
    "333 556 556 500 556 556 278 556 556 222 222 500 222 833 556 556 "
    "556 556 333 500 278 556 500 722 500 500 500 334 260 334 584"
)
_BOLD = (
    "278 333 474 556 556 889 722 238 333 333 389 584 278 333 278 278 "
    "556 556 556 556 556 556 556 556 556 556 333 333 584 584 584 611 "
    "975 722 722 722 722 667 611 778 722 278 556 722 611 833 722 778 "
    "667 778 722 667 611 722 667 944 667 667 611 333 278 333 584 556 "
    "333 556 611 556 611 556 333 611 611 278 278 556 278 889 611 611 "
    "611 611 389 556 333 611 556 778 556 556 500 389 280 389 584"
)
_WIDTHS = {False: [int(w) for w in _REGULAR.split()], True: [int(w) for w in _BOLD.split()]}
_FIRST = 32

_WIDE = 1000
"""Of a letter that fills its square: Chinese, Japanese and Korean, dashes and ligatures."""

_USUAL = 667
"""Of a letter whose width is not known: rather too wide than too narrow."""

_KNOWN = {"×": 584, "±": 584, "÷": 584, "·": 278, "–": 556, "°": 400, "½": 834, "¼": 834, "¾": 834}

_STAND_INS = {
    "ł": "l", "Ł": "L", "đ": "d", "Đ": "D", "ħ": "h", "Ħ": "H", "ı": "i", "ŧ": "t", "Ŧ": "T",
    "−": "-", "‐": "-", "‑": "-", "′": "'", "″": '"', "→": ">", "←": "<", "ĸ": "k", "ŋ": "n",
}  # fmt: skip
"""For letters that Unicode does not take apart into a plain letter and a mark."""

MISSING = "?"
"""Printed for a letter that has no stand-in."""


def printable(text: str) -> str:
    """A text in the letters that Helvetica has in a PDF.

    A letter with a mark that is not among them loses its mark; one of another script becomes a
    question mark. Control characters become spaces.
    """
    return "".join(_printable(letter) for letter in one_line(text))


def one_line(text: str) -> str:
    """A text as it is put on paper: composed letters, spaces for control characters."""
    composed = unicodedata.normalize("NFC", text)
    return "".join(" " if _is_control(letter) else letter for letter in composed)


def has_stand_in_for_all(text: str) -> bool:
    """Whether everything in a text can be read when it is printed in Helvetica."""
    return all(letter == MISSING or _printable(letter) != MISSING for letter in one_line(text))


def text_width_mm(text: str, size_mm: float, bold: bool = False) -> float:
    """How wide a text in Helvetica is; letters without known metrics count rather too wide."""
    return _advance(text, bold) * size_mm / 1000


@lru_cache(maxsize=8192)
def _advance(text: str, bold: bool) -> float:
    """The width of a text in thousandths of its size. The same words stand on many pages."""
    return sum(_width(letter, bold) for letter in one_line(text))


def shortened(text: str, size_mm: float, room_mm: float, bold: bool = False) -> str:
    """As much of a text as fits, with an ellipsis where it was cut."""
    if text_width_mm(text, size_mm, bold) <= room_mm:
        return text

    def is_too_wide(count: int) -> bool:
        return text_width_mm(text[:count].rstrip() + "…", size_mm, bold) > room_mm

    # Halved again and again: a name may have a million letters.
    fitting = bisect_left(range(1, len(text) + 1), True, key=is_too_wide)
    return text[:fitting].rstrip() + "…"


def titled(name: str, rest: str, size_mm: float, room_mm: float) -> str:
    """A name and what follows it in bold letters, the name shortened where both don't fit."""
    room = room_mm - text_width_mm(rest, size_mm, bold=True)
    return shortened(name, size_mm, room, bold=True) + rest


def wrapped(text: str, size_mm: float, room_mm: float, bold: bool = False) -> list[str]:
    """A text in lines no wider than the room; a single word that is wider is shortened."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width_mm(longer, size_mm, bold) <= room_mm:
            lines[-1] = longer
        else:
            lines.append(shortened(word, size_mm, room_mm, bold))
    return lines


def _is_control(letter: str) -> bool:
    return unicodedata.category(letter) in ("Cc", "Cf", "Cs", "Zl", "Zp", "Zs")


def _printable(letter: str) -> str:
    if _in_code_page(letter):
        return letter
    if letter in _STAND_INS:
        return _STAND_INS[letter]
    plain = [
        part
        for part in unicodedata.normalize("NFKD", letter)
        if not unicodedata.category(part).startswith("M")
    ]
    # A mark by itself has nothing left, and nothing is lost with it.
    return "".join(part if _in_code_page(part) else MISSING for part in plain)


def _in_code_page(letter: str) -> bool:
    try:
        letter.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


def _width(letter: str, bold: bool) -> int:
    plain = letter
    if not letter.isascii() and letter not in _KNOWN:
        plain = unicodedata.normalize("NFKD", letter)[0]
    if plain in _KNOWN:
        return _KNOWN[plain]
    index = ord(plain) - _FIRST
    if 0 <= index < len(_WIDTHS[bold]):
        return _WIDTHS[bold][index]
    if unicodedata.east_asian_width(letter) in ("W", "F") or letter in "—…™‰ŒÆœæ":
        return _WIDE
    return _USUAL
