"""The shopping list as a page: to print, or to tick off on a phone in the shop."""

from __future__ import annotations

from lxml import etree

from applique.pages.document import element, page_bytes
from applique.quilt.shopping import ShoppingGroup, ShoppingItem, missing_words, shopping_groups
from applique.quilt.totals import QuiltTotals
from applique.quilt.words import size_words


def shopping_page(totals: QuiltTotals) -> bytes:
    """The page: everything to buy with a box to tick."""
    body = [element("h1", f"{totals.name}: shopping list")]
    if totals.size_mm is not None:
        body.append(element("p", f"For a top of {size_words(totals.size_mm)}.", class_="quiet"))
    if totals.missing:
        body.append(element("p", missing_words(totals), class_="caution"))
    groups = shopping_groups(totals)
    if not groups:
        body.append(element("p", "There is nothing to buy."))
    body += [_group(group, f"{number}") for number, group in enumerate(groups, start=1)]
    return page_bytes(f"{totals.name}: shopping list", body, styles=["shopping"])


def swatch(colour: str) -> etree._Element:
    """A small square of a colour; what it is stands beside it."""
    return element("span", class_="swatch", style=f"background:{colour}", aria_hidden="true")


def _group(group: ShoppingGroup, number: str) -> etree._Element:
    rows = [_item(item, f"buy-{number}-{k}") for k, item in enumerate(group.items, start=1)]
    made = element("section", element("h2", group.title), element("ul", *rows, class_="shopping"))
    if group.note:
        made.append(element("p", group.note, class_="quiet"))
    return made


def _item(item: ShoppingItem, name: str) -> etree._Element:
    words = element("span", class_="thing")
    if item.colour:
        words.append(swatch(item.colour))
    words.append(element("strong", item.what))
    label = element("label", words, element("span", item.amount, class_="amount"), for_=name)
    made = element("li", element("input", type="checkbox", id=name), label)
    if item.uses:
        made.append(element("ul", *(element("li", use) for use in item.uses), class_="uses"))
    return made
