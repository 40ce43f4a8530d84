"""The run sheet of a block as a page, to be read on a phone at the machine or printed."""

from __future__ import annotations

from collections.abc import Mapping

from lxml import etree

from applique.pages.document import Content, element, page_bytes
from applique.pages.drawing import drawn_picture
from applique.pages.runsheet_stops import sitting_part
from applique.pages.runsheet_tables import cuts_part, needles_part
from applique.paper.picture import block_picture, picture_height_mm
from applique.paper.run_content import RunSheet
from applique.paper.run_words import (
    CAUTIONS,
    MINUTES_TOLD,
    facts,
    guidance_lines,
    title_of,
    totals,
)

_PICTURE_MM = 110.0
"""Width of the picture in its own measure: so small that numbers can be read on a phone."""


def run_sheet_page(sheet: RunSheet, links: Mapping[str, str]) -> bytes:
    """The page in UTF-8. `links` are addresses by what they are called: under a stitch file's name
    that of the file, all others are listed above the picture."""
    body: list[Content] = [
        element("h1", title_of(sheet)),
        element("p", " · ".join(facts(sheet))),
        element("p", " · ".join(totals(sheet))),
        *_links(sheet, links),
        _picture(sheet),
        *_guidance(sheet),
        _cautions(),
    ]
    if sheet.needles is not None:
        body.append(needles_part(sheet.needles, len(sheet.sittings)))
    # Ticks are remembered for the sheet as it is: a block sewn otherwise begins without any.
    kept = f"run-sheet {sheet.card.name} {sheet.stitches} {sheet.machine_stops}"
    sittings = (sitting_part(sitting, links) for sitting in sheet.sittings)
    body.append(element("div", *sittings, id="sittings", data_kept=kept))
    body.append(element("p", MINUTES_TOLD, class_="quiet"))
    body.append(cuts_part(sheet))
    return page_bytes(title_of(sheet), body, ("runsheet",), ("runsheet",))


def _links(sheet: RunSheet, links: Mapping[str, str]) -> list[etree._Element]:
    own = {sitting.file_name for sitting in sheet.sittings}
    listed = [
        element("li", element("a", name, href=address))
        for name, address in links.items()
        if name not in own
    ]
    if not listed:
        return []
    return [element("nav", element("ul", *listed), aria_label="Pages and files of this block")]


def _picture(sheet: RunSheet) -> etree._Element:
    size = (_PICTURE_MM, picture_height_mm(sheet.card, _PICTURE_MM))
    items, missing = block_picture(sheet.card, (0.0, 0.0, *size))
    label = f"{sheet.card.name or 'Block'}: the block with the numbers of its pieces"
    figure = element("figure", drawn_picture(items, size, label))
    if missing:
        words = f"No room in the picture for the numbers of {', '.join(missing)}."
        figure.append(element("figcaption", words))
    return figure


def _guidance(sheet: RunSheet) -> list[etree._Element]:
    lines = guidance_lines(sheet)
    if not lines:
        return []
    terms = []
    for what, words in lines:
        terms += [element("dt", what), element("dd", words)]
    heading = element("h2", "Needle, stabiliser, notes", id="guidance")
    return [element("section", heading, element("dl", *terms), aria_labelledby="guidance")]


def _cautions() -> etree._Element:
    lines = (element("li", words) for words in CAUTIONS)
    return element(
        "section",
        element("h2", "Take care", id="care"),
        element("ul", *lines),
        class_="caution",
        aria_labelledby="care",
    )
