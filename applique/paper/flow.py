"""Sections of blocks that follow one another down the pages, each with headings of its own that
stand again where it goes on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from applique.paper.drawing import Item, moved
from applique.paper.sizes import MARGIN_MM, SizeMm


@dataclass(frozen=True, eq=False)
class FlowBlock:
    """Something that is not divided between pages: its items with their top at 0, and its height
    in mm. `keeps_next` says that what follows must stand on the same page."""

    items: tuple[Item, ...]
    height_mm: float
    keeps_next: bool = False


@dataclass(frozen=True, eq=False)
class Section:
    """Blocks under a heading; `heading` makes it, given whether the section only goes on."""

    heading: Callable[[bool], FlowBlock]
    blocks: tuple[FlowBlock, ...]


def flowed(sections: Sequence[Section], paper_mm: SizeMm, first_top_mm: float) -> list[list[Item]]:
    """The items of each page. On the first page the sections begin at a y in mm, on all others at
    the margin; none of them reaches into the margin below."""
    bottom = paper_mm[1] - MARGIN_MM
    pages: list[list[Item]] = [[]]
    y = first_top_mm
    for section in sections:
        heading = section.heading(False)
        begun = False
        for k, block in enumerate(section.blocks):
            needed = _kept_together(section.blocks[k:])
            above = 0.0 if begun else heading.height_mm
            if y + above + needed > bottom and not _is_new(y):
                pages.append([])
                y = MARGIN_MM
                above = heading.height_mm
                heading = section.heading(begun)
            if above:
                pages[-1].extend(moved(heading.items, (0.0, y)))
                y += heading.height_mm
                begun = True
            pages[-1].extend(moved(block.items, (0.0, y)))
            y += block.height_mm
    return pages


def height_mm(section: Section) -> float:
    """How high a section is with its heading."""
    if not section.blocks:
        return 0.0
    return section.heading(False).height_mm + sum(block.height_mm for block in section.blocks)


def _is_new(y: float) -> bool:
    return y == MARGIN_MM


def _kept_together(blocks: Sequence[FlowBlock]) -> float:
    """The height in mm of the first of some blocks, with those that must stand on its page."""
    height = blocks[0].height_mm
    for block, following in pairwise(blocks):
        if not block.keeps_next:
            break
        height += following.height_mm
    return height
