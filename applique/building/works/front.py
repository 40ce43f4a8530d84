"""The front of a quilt: its index page, its shopping list, the pictures of its fabrics."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from applique.building.task import Given, Made
from applique.building.works.swatched import Swatched
from applique.cutting.needed import FabricNeeded
from applique.names import plain_names
from applique.pages.index import index_page
from applique.pages.shopping import shopping_page
from applique.quilt.facts import BlockFacts
from applique.quilt.index_content import CutFabric, IndexBlock, IndexContent, Link, PrintLink
from applique.quilt.project import BlockEntry, Project
from applique.quilt.shopping import shopping_text
from applique.quilt.top import top_of
from applique.quilt.totals import totals_of

INDEX = "index.html"
SHOPPING = "shopping-list.html"
SHOPPING_TEXT = "shopping-list.txt"
SWATCHES = "swatches"


@dataclass(frozen=True, eq=False)
class BlockShown:
    """A block as it stands in the folder: what it comes to (None where it was never built), its
    picture ("" for none), links to its files, and what was noticed."""

    entry: BlockEntry
    facts: Mapping[str, Any] | None
    picture: str
    links: tuple[Link, ...]
    told: tuple[str, ...]


@dataclass(frozen=True)
class CutShown:
    """The cut sheets of a fabric."""

    fabric: str
    links: tuple[Link, ...]


@dataclass(frozen=True, eq=False)
class FrontAsked:
    """A quilt's front: its project, its blocks, the cut sheets, what the pieces need of each
    fabric, the pictures of fabrics, and what was noticed of the whole."""

    project: Project
    blocks: tuple[BlockShown, ...]
    cut: tuple[CutShown, ...]
    needed: tuple[FabricNeeded, ...]
    swatches: Mapping[str, Swatched]
    told: tuple[str, ...]


def make(asked: FrontAsked, given: Given) -> Made:
    """The pages, and the swatches they show."""
    project = asked.project
    facts = {
        shown.entry.name: BlockFacts.from_dict(shown.facts)
        for shown in asked.blocks
        if shown.facts is not None
    }
    totals = totals_of(project, facts, _summed(asked.needed))
    pictures = _pictures(asked.swatches)
    binding = project.assembly.binding
    content = IndexContent(
        totals=totals,
        top=top_of(project.assembly, {name: it.finished_mm for name, it in facts.items()}),
        blocks=tuple(
            IndexBlock(
                shown.entry.name,
                shown.entry.copies,
                shown.entry.week,
                facts.get(shown.entry.name),
                shown.picture,
                shown.links,
                shown.told,
            )
            for shown in asked.blocks
        ),
        colours={name: stock.fabric.colour for name, stock in project.fabrics.items()},
        prints={
            name: PrintLink(file, swatched.swatch.width_mm, swatched.swatch.height_mm)
            for (name, swatched), file in zip(asked.swatches.items(), pictures, strict=True)
        },
        binding=None if binding is None else binding.fabric,
        cut=tuple(CutFabric(shown.fabric, shown.links) for shown in asked.cut),
        links=(Link("Shopping list to print", SHOPPING), Link("as plain text", SHOPPING_TEXT)),
        told=asked.told,
    )
    files = {
        INDEX: index_page(content),
        SHOPPING: shopping_page(totals),
        SHOPPING_TEXT: shopping_text(totals).encode(),
    }
    return Made({**files, **pictures}, {}, totals.findings)


def _pictures(swatches: Mapping[str, Swatched]) -> dict[str, bytes]:
    """The swatches as files of the quilt's folder, in their order."""
    safe = plain_names(swatches, "fabric")
    return {
        f"{SWATCHES}/{stem}.png": swatched.data
        for stem, swatched in zip(safe, swatches.values(), strict=True)
    }


def _summed(needed: Sequence[FabricNeeded]) -> list[FabricNeeded]:
    """One need for each fabric: what each fabric's sheets take of fusible web is added up."""
    by_fabric: dict[str, list[FabricNeeded]] = defaultdict(list)
    for each in needed:
        by_fabric[each.fabric].append(each)
    return [
        FabricNeeded(
            fabric=fabric,
            pieces=sum(it.pieces for it in every),
            area_mm2=sum(it.area_mm2 for it in every),
            usable_width_mm=every[0].usable_width_mm,
            length_mm=sum(it.length_mm for it in every),
            fat_quarters=every[0].fat_quarters if len(every) == 1 else None,
        )
        for fabric, every in by_fabric.items()
    ]
