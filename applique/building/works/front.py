"""The front of a quilt: its index page, its shopping list, the pictures of its fabrics."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from applique.building.asked import INDEX, SHOPPING, SHOPPING_TEXT, SWATCHES, FrontAsked
from applique.building.task import Given, Made
from applique.building.works.swatched import pictures_of, prints_of
from applique.cutting.needed import WEB, FabricNeeded
from applique.names import plain_names
from applique.pages.index import index_page
from applique.pages.shopping import shopping_page
from applique.quilt.facts import BlockFacts
from applique.quilt.index_content import CutFabric, IndexBlock, IndexContent, Link, PrintLink
from applique.quilt.shopping import shopping_text
from applique.quilt.top import top_of
from applique.quilt.totals import totals_of


def make(asked: FrontAsked, given: Given) -> Made:
    """The pages, and the swatches they show."""
    project = asked.project
    facts = {
        shown.entry.name: BlockFacts.from_dict(shown.facts)
        for shown in asked.blocks
        if shown.facts is not None
    }
    totals = totals_of(project, facts, _summed(asked.needed))
    prints, told = prints_of(asked.swatches)
    pictures = dict(zip(_picture_files(prints), pictures_of(prints).values(), strict=True))
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
            name: PrintLink(file, it.width_mm, it.height_mm)
            for (name, it), file in zip(prints.items(), pictures, strict=True)
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
    return Made({**files, **pictures}, {}, (*told, *totals.findings))


def _picture_files(prints: Iterable[str]) -> list[str]:
    """The names of the files that show some fabrics."""
    return [f"{SWATCHES}/{stem}.png" for stem in plain_names(prints, "fabric")]


def _summed(needed: Sequence[FabricNeeded]) -> list[FabricNeeded]:
    """One need for each fabric, and last for fusible web, of which each fabric's sheets tell."""
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
        for fabric, every in sorted(by_fabric.items(), key=lambda it: it[0] == WEB)
    ]
