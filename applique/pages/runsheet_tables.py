"""The tables of a run sheet in a page: needles, and what is cut of each fabric."""

from __future__ import annotations

from lxml import etree

from applique.pages.document import Content, element
from applique.pages.runsheet_stops import swatch, thread_part
from applique.paper.run_content import CutSize, FabricCuts, NeedleTable, Rethreading, RunSheet
from applique.paper.run_words import HAND_STOPS_TOLD, hand_stops
from applique.paper.words import inches
from applique.units import compact


def needles_part(needles: NeedleTable, sittings: int) -> etree._Element:
    """What each needle holds, which are threaded anew, and where stops are set."""
    held = [
        element("tr", _row_head(str(number)), element("td", *thread_part(thread)))
        for number, thread in enumerate(needles.threads, start=1)
    ]
    part = element(
        "section",
        element("h2", "Needles", id="needles"),
        _table("At the start", ("needle", "thread"), held),
        aria_labelledby="needles",
    )
    if needles.rethreadings:
        changed = [_rethreading(change, sittings) for change in needles.rethreadings]
        heads = ("needle", "after colour block", "new thread")
        part.append(_table("Threaded anew", heads, changed))
    part.append(element("h3", "Stops to set by hand"))
    part.append(element("p", HAND_STOPS_TOLD))
    lines = (element("li", words) for words in hand_stops(needles, sittings))
    part.append(element("ul", *lines))
    return part


def _rethreading(change: Rethreading, sittings: int) -> etree._Element:
    where = f"{change.after}, hooping {change.sitting}" if sittings > 1 else str(change.after)
    return element(
        "tr",
        _row_head(str(change.needle)),
        element("td", where),
        element("td", *thread_part(change.into)),
    )


def cuts_part(sheet: RunSheet) -> etree._Element:
    """What is cut of each fabric."""
    part = element("section", element("h2", "Fabric", id="fabric"), aria_labelledby="fabric")
    if sheet.background:
        name = sheet.card.background or "not named"
        colour = swatch(sheet.card.background_colour)
        part.append(element("p", colour, f"Background, {name}: {sheet.background}."))
    heads = ("piece", "mm", "in", "method, mm")
    table = _table("Cut sizes of the pieces", heads, [])
    table.remove(table[-1])
    table.extend(_fabric(cuts) for cuts in sheet.cuts)
    part.append(table)
    return part


def _fabric(cuts: FabricCuts) -> etree._Element:
    name = element("th", swatch(cuts.colour), cuts.fabric or "no name", scope="rowgroup")
    name.set("colspan", "4")
    return element("tbody", element("tr", name), *(_cut(size) for size in cuts.sizes))


def _cut(size: CutSize) -> etree._Element:
    width, height = size.size_mm
    return element(
        "tr",
        _row_head(size.piece),
        element("td", f"{compact(width, 0)} × {compact(height, 0)}", class_="size"),
        element("td", f"{inches(width)} × {inches(height)}", class_="size"),
        element("td", size.method),
    )


def _table(caption: str, heads: tuple[str, ...], rows: list[etree._Element]) -> etree._Element:
    columns: list[Content] = [element("th", head, scope="col") for head in heads]
    return element(
        "table",
        element("caption", caption),
        element("thead", element("tr", *columns)),
        element("tbody", *rows),
    )


def _row_head(words: str) -> etree._Element:
    return element("th", words, scope="row")
