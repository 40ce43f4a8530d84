"""The strip at the foot of a page that tells whether it was printed at true size."""

from __future__ import annotations

import math

from applique.paper.drawing import INK, Item, PointMm, Text, line
from applique.paper.letters import text_width_mm, wrapped
from applique.paper.sizes import HEAD_MM, LEAST_WINDOW_MM, MARGIN_MM, SIDE_MM, SizeMm
from applique.units import MM_PER_INCH, compact

STRIP_MM = 15.0
"""Height of the strip."""

CHECK_BAR_MM = 50.0
BAR_STROKE_MM = 0.35
PRINT_AT = "Print at 100 %, no fit to page."
CHECK = "Before you use this page, hold a ruler to both bars: 50 mm and 1 inch."

_TICK_MM = 2.2
_WORDS_MM = 2.6
_LEADING_MM = 3.4
_GAP_MM = 6.0


def check_paper(paper_mm: SizeMm) -> None:
    """Raise ValueError, naming the least size, for a paper on which a page at true size has no room
    for both check bars and the words beside them, whether it stands or lies."""
    if room_for_bars(paper_mm) or room_for_bars(paper_mm[::-1]):
        return
    given, least = (
        f"{compact(width, 1)} x {compact(height, 1)} mm"
        for width, height in (paper_mm, least_page_mm())
    )
    raise ValueError(f"paper of {given} has no room for the check bars; take {least} or larger")


def room_for_bars(page_mm: SizeMm) -> bool:
    """Whether a page at true size, of a width and height as the paper lies, has room for the bars
    and a window on the drawing."""
    least = least_page_mm()
    return page_mm[0] >= least[0] and page_mm[1] >= least[1]


def least_page_mm() -> SizeMm:
    """Width and height of the least page at true size, up to the next 0.1 mm."""
    width = 2 * SIDE_MM + CHECK_BAR_MM + MM_PER_INCH + 2 * _GAP_MM + _least_words_mm()
    height = 2 * MARGIN_MM + HEAD_MM + LEAST_WINDOW_MM + STRIP_MM
    return math.ceil(width * 10) / 10, math.ceil(height * 10) / 10


def _least_words_mm() -> float:
    """How wide the words beside the bars are at least: the strip has room for two lines of them
    below the first."""
    words = CHECK.split()
    halves = [(" ".join(words[:k]), " ".join(words[k:])) for k in range(1, len(words))]
    least = min(max(text_width_mm(text, _WORDS_MM) for text in both) for both in halves)
    return max(least, text_width_mm(PRINT_AT, _WORDS_MM, bold=True))


def check_strip(left: float, top: float, right: float) -> list[Item]:
    """Both check bars and the words about them, between `left` and `right` (mm on the page), the
    strip's upper side at `top`."""
    level = top + 10.0
    inch = left + CHECK_BAR_MM + _GAP_MM
    words = inch + MM_PER_INCH + _GAP_MM
    return [
        *_bar((left, level), CHECK_BAR_MM, "50 mm", 5),
        *_bar((inch, level), MM_PER_INCH, "1 inch", 4),
        *_sentences(words, top + 6.4, right - words),
    ]


def _bar(start: PointMm, length: float, name: str, parts: int) -> list[Item]:
    """A bar that is measured between the middles of its end ticks, with shorter ticks between."""
    x, y = start
    items: list[Item] = [line([(x, y), (x + length, y)], INK, BAR_STROKE_MM)]
    for k in range(parts + 1):
        half = _TICK_MM if k in (0, parts) else _TICK_MM / 2
        at = x + length * k / parts
        items.append(line([(at, y - half), (at, y + half)], INK, BAR_STROKE_MM))
    return [*items, Text((x + length / 2, y - 3.0), name, _WORDS_MM, "middle")]


def _sentences(left: float, top: float, room: float) -> list[Item]:
    items: list[Item] = [Text((left, top), PRINT_AT, _WORDS_MM, bold=True)]
    for k, text in enumerate(wrapped(CHECK, _WORDS_MM, room)):
        items.append(Text((left, top + _LEADING_MM * (k + 1)), text, _WORDS_MM))
    return items
