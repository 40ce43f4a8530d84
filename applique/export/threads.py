"""The colours a machine file is given, so that the machine stops where the plan stops.

Machines, and some formats, take two neighbouring blocks of one colour for one block. Where a block
has the thread of the one before, the file shows another colour; the papers keep the true thread.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from applique.export.formats import Format
from applique.model import ThreadBlock
from applique.threads.difference import difference

Rgb = tuple[int, int, int]

_SHIFT = 0.45
"""How far a stand-in colour is moved towards white or black: plainly another colour on a screen."""


def block_colours(
    blocks: Sequence[ThreadBlock], format: Format, palette: Sequence[Rgb]
) -> tuple[Rgb, ...]:
    """A colour for every block, none like the one before. `palette` are the colours of a format
    that has only so many."""
    chosen: list[Rgb] = []
    for block in blocks:
        true = _rgb(block.thread.colour)
        before = chosen[-1] if chosen else None
        if format.colours == "palette":
            chosen.append(nearest(true, [colour for colour in palette if colour != before]))
        else:
            chosen.append(_shifted(true) if true == before else true)
    return tuple(chosen)


def with_thread_kept(blocks: Sequence[ThreadBlock]) -> tuple[int, ...]:
    """The numbers (from 1) of the blocks that are sewn in the thread of the one before: whatever
    colour the machine shows there, the thread stays."""
    pairs = enumerate(itertools.pairwise(blocks), start=2)
    return tuple(number for number, (before, block) in pairs if before.thread == block.thread)


def nearest(colour: Rgb, palette: Sequence[Rgb]) -> Rgb:
    """The palette's colour that looks most like one, by CIEDE2000 (the first of equals)."""
    return min(palette, key=lambda other: difference(_hexadecimal(colour), _hexadecimal(other)))


def _hexadecimal(colour: Rgb) -> str:
    red, green, blue = colour
    return f"#{red:02x}{green:02x}{blue:02x}"


def _shifted(colour: Rgb) -> Rgb:
    """A dark colour lightened, a light one darkened."""
    towards = 255 if sum(colour) < 3 * 128 else 0
    red, green, blue = (round(channel + (towards - channel) * _SHIFT) for channel in colour)
    return red, green, blue


def _rgb(colour: str) -> Rgb:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
