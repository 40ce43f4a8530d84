"""Colours of the pictures: shades of a thread, and the scale of the needle map."""

from __future__ import annotations

from itertools import pairwise
from typing import TypeAlias

Colour: TypeAlias = tuple[int, int, int]

WHITE: Colour = (255, 255, 255)
BLACK: Colour = (0, 0, 0)
INK: Colour = (43, 47, 51)
PAPER: Colour = (250, 249, 246)
PALE: Colour = (176, 176, 172)
QUIET: Colour = (112, 116, 120)

UNKNOWN = "#d8d8d8"
"""The colour of a fabric of which none is known."""

_DARK = 0.2
"""Relative luminance below which white stands out better than black (`paper.tags` has why)."""

HOOPING_COLOURS: tuple[Colour, ...] = (
    (0, 114, 178),
    (213, 94, 0),
    (0, 158, 115),
    (204, 121, 167),
    (230, 159, 0),
    (86, 180, 233),
    (240, 228, 66),
)
"""Colours that colour-blind readers tell from each other too: those of M. Okabe and K. Ito, "Color
Universal Design", 2002, from memory, without their black. From the eighth hooping on they begin
again, with a light middle in the line."""

HEAT: tuple[tuple[int, Colour], ...] = (
    (1, (248, 240, 206)),
    (3, (247, 219, 136)),
    (4, (243, 188, 87)),
    (5, (230, 150, 68)),
    (6, (208, 110, 73)),
    (7, (172, 66, 92)),
    (9, (122, 38, 100)),
    (13, (62, 20, 78)),
)
"""The scale of the needle map: from how many needle points on a colour holds. Every colour is a
good deal darker than the one before, so that the order can be seen without seeing the hues."""


def rgb(colour: str) -> Colour:
    """`#rrggbb` as three numbers from 0 to 255; raises ValueError for anything else."""
    if len(colour) != 7 or colour[0] != "#":
        raise ValueError(f"'{colour}' is no colour; write it as #rrggbb")
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def hexadecimal(colour: Colour) -> str:
    """A colour as `#rrggbb`."""
    return "#{:02x}{:02x}{:02x}".format(*colour)


def mixed(colour: Colour, other: Colour, share: float) -> Colour:
    """A colour with some of another in it: `share` from 0 (none) to 1."""
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(colour, other, strict=True))
    return red, green, blue


def thread_shades(colour: Colour) -> tuple[Colour, Colour, Colour]:
    """A round thread in the light: its sides, its body and its middle."""
    return mixed(colour, BLACK, 0.3), colour, mixed(colour, WHITE, 0.32)


def heat_colour(count: int) -> Colour:
    """The colour of the needle map for a number of needle points, 1 or more."""
    found = HEAT[0][1]
    for least, colour in HEAT:
        if count >= least:
            found = colour
    return found


def heat_words() -> list[str]:
    """What to write beside each colour of the scale: `1-2`, `3`, ... `13+`."""
    starts = [least for least, _ in HEAT]
    words = [str(low) if high == low + 1 else f"{low}-{high - 1}" for low, high in pairwise(starts)]
    return [*words, f"{starts[-1]}+"]


def hooping_colour(number: int) -> Colour:
    """The colour of a hooping, by its number from 1."""
    return HOOPING_COLOURS[(number - 1) % len(HOOPING_COLOURS)]


def letters_on(colour: Colour) -> Colour:
    """White or ink, whichever shows better on a colour: by relative luminance (WCAG 2.1; its powers
    taken as 2.2)."""
    red, green, blue = (part / 255 for part in colour)
    luminance = 0.2126 * red**2.2 + 0.7152 * green**2.2 + 0.0722 * blue**2.2
    return WHITE if luminance < _DARK else INK
