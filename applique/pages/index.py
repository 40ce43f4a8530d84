"""The quilt's index page: the quilt laid out, what it comes to, and links to everything made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lxml import etree

from applique.names import plain_names
from applique.pages.document import Content, element, page_bytes
from applique.pages.quilt_picture import quilt_picture
from applique.pages.shopping import swatch
from applique.quilt.index_content import CutFabric, IndexBlock, IndexContent, Link
from applique.quilt.shopping import ShoppingGroup, missing_words, shopping_groups
from applique.quilt.totals import QuiltTotals, Work
from applique.quilt.words import size_words, time_words
from applique.report import counted
from applique.units import compact

_CAUTION = (
    "Needles, blades and irons hurt. Follow your machine's own safety instructions, and take the "
    "hoop off the machine to trim and to press."
)


def index_page(content: IndexContent) -> bytes:
    """The page. All its links are relative; the same content gives the same bytes."""
    names = [block.name for block in content.blocks]
    anchors = {
        name: f"block-{plain}" for name, plain in zip(names, plain_names(names, "x"), strict=True)
    }
    body = [
        element("h1", content.totals.name),
        element("div", _layout(content, anchors), _summary(content), class_="front"),
        *_told(content),
        element("p", _CAUTION, class_="caution"),
        element("h2", "Blocks"),
        _blocks(content.blocks, anchors),
        *_weeks(content.totals),
        *_cut(content.cut),
        element("h2", "What to buy"),
        *(_shopping(group) for group in shopping_groups(content.totals)),
    ]
    return page_bytes(content.totals.name, body, styles=["index"])


def _layout(content: IndexContent, anchors: Mapping[str, str]) -> etree._Element:
    """The quilt as it will hang, or its blocks in a row where no rows are given."""
    if content.top is not None:
        return element("figure", quilt_picture(content, content.top, anchors))
    pictures = [
        element(
            "a",
            element("img", src=block.picture, alt=block.name, loading="lazy"),
            href=f"#{anchors[block.name]}",
        )
        for block in content.blocks
        if block.picture
    ]
    return element("figure", *pictures, class_="loose")


def _summary(content: IndexContent) -> etree._Element:
    """The totals, and links to what belongs to the whole quilt."""
    totals = content.totals
    work = totals.work
    facts = [
        ("Size of the top", "not known" if totals.size_mm is None else size_words(totals.size_mm)),
        ("Blocks", f"{work.blocks}, of {counted(work.pieces, 'piece', 'pieces')}"),
        ("Stitches", f"{work.stitches:,}"),
        ("Hoopings", f"{work.hoopings:,}"),
        ("Stops of the machine", f"{work.stops:,}"),
        ("Machine sews", time_words(work.machine_minutes)),
        ("Work by hand", time_words(work.hand_minutes)),
    ]
    if totals.bobbins:
        facts.append(("Bobbins to wind", f"{totals.bobbins:,}"))
    if totals.cost is not None:
        facts.append(("Fabric with a price costs", f"{totals.cost:.2f}"))
    rows = [element("div", element("dt", word), element("dd", told)) for word, told in facts]
    made = element("section", element("h2", "The whole quilt"), element("dl", *rows))
    if content.links:
        made.append(
            element("ul", *(element("li", _link(it)) for it in content.links), class_="onscreen")
        )
    return made


def _told(content: IndexContent) -> list[etree._Element]:
    """Everything worth a second look."""
    totals = content.totals
    missing = [missing_words(totals)] if totals.missing else []
    sentences = [*missing, *content.told, *(it.sentence() for it in totals.findings)]
    if not sentences:
        return []
    return [
        element("h2", "Worth a second look"),
        element("ul", *(element("li", text) for text in sentences), class_="told"),
    ]


def _blocks(blocks: Sequence[IndexBlock], anchors: Mapping[str, str]) -> etree._Element:
    """The table of blocks; on a phone each row is a card. The roles keep it a table there too."""
    heads = ("Block", "Week", "What it is", "Papers and files")
    row = element("tr", *(element("th", it, scope="col", role="columnheader") for it in heads))
    row.set("role", "row")
    return element(
        "table",
        element("thead", row, role="rowgroup"),
        element("tbody", *(_block(it, anchors[it.name]) for it in blocks), role="rowgroup"),
        class_="blocks",
        role="table",
    )


def _block(block: IndexBlock, anchor: str) -> etree._Element:
    copies = "" if block.copies == 1 else f" (make {block.copies})"
    head = element("th", f"{block.name}{copies}", scope="row", role="rowheader")
    if block.picture:
        head.append(element("img", src=block.picture, alt="", loading="lazy"))
    links: list[Content] = [element("li", _link(it)) for it in block.links]
    return element(
        "tr",
        head,
        element("td", _week(block.week), role="cell", class_="week"),
        element("td", *_facts(block), role="cell"),
        element("td", element("ul", *links), role="cell", class_="files"),
        id=anchor,
        role="row",
    )


def _facts(block: IndexBlock) -> list[etree._Element]:
    """What a block comes to, each copy by itself, and what was noticed about it."""
    facts = block.facts
    lines = []
    if facts is None:
        lines.append(element("p", "not built"))
    else:
        lines += [
            element("p", size_words(facts.finished_mm)),
            element(
                "p",
                f"{counted(facts.pieces, 'piece', 'pieces')}, {facts.stitches:,} stitches, "
                f"{counted(len(facts.hoopings), 'hooping', 'hoopings')}, "
                f"{counted(facts.stops, 'stop', 'stops')}",
            ),
            element(
                "p",
                f"{time_words(facts.machine_minutes)} at the machine, "
                f"{time_words(facts.hand_minutes)} by hand",
            ),
        ]
    if block.told:
        title = counted(len(block.told), "thing", "things") + " worth a second look"
        told = element("ul", *(element("li", text) for text in block.told), class_="told")
        lines.append(element("details", element("summary", title), told))
    return lines


def _cut(cut: Sequence[CutFabric]) -> list[etree._Element]:
    """The cut sheets of all blocks, by fabric."""
    if not cut:
        return []
    rows = []
    for each in cut:
        files = element("ul", *(element("li", _link(it)) for it in each.links), class_="inline")
        rows.append(element("li", element("strong", each.fabric), files))
    title, sheets = element("h2", "Cut sheets by fabric"), element("ul", *rows, class_="cut")
    return [element("section", title, sheets, class_="onscreen")]


def _shopping(group: ShoppingGroup) -> etree._Element:
    items = []
    for item in group.items:
        what = element("strong", *([swatch(item.colour)] if item.colour else []), item.what)
        uses = [element("span", use, class_="quiet") for use in item.uses]
        items.append(element("li", what, f": {item.amount}", *uses))
    made = element("section", element("h3", group.title), element("ul", *items, class_="buy"))
    if group.note:
        made.append(element("p", group.note, class_="quiet"))
    return made


def _weeks(totals: QuiltTotals) -> list[etree._Element]:
    """What there is to do in each week, if any block has one."""
    if all(week == 0 for week, _ in totals.weeks):
        return []
    heads = ("Week", "Blocks", "Stitches", "Stops", "Machine", "By hand")
    top = element("tr", *(element("th", head, scope="col") for head in heads))
    rows = [_week_row(week, work) for week, work in totals.weeks]
    table = element("table", element("thead", top), element("tbody", *rows), class_="weeks")
    return [element("h2", "Week by week"), table]


def _week_row(week: int, work: Work) -> etree._Element:
    told = (
        compact(work.blocks, 0),
        f"{work.stitches:,}",
        f"{work.stops:,}",
        time_words(work.machine_minutes),
        time_words(work.hand_minutes),
    )
    cells = [element("td", it, class_="number") for it in told]
    return element("tr", element("th", _week(week), scope="row"), *cells)


def _week(week: int) -> str:
    return str(week) if week else "any"


def _link(link: Link) -> etree._Element:
    return element("a", link.words, href=link.href)
