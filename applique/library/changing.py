"""Templates renamed or taken out of a library."""

from __future__ import annotations

import re

from lxml import etree

from applique.errors import InputError
from applique.library.master import symbol_id
from applique.library.shelf import Library
from applique.library.symbols import Entry, retitled
from applique.svg import vocabulary as v

_NAME = re.compile(r"[^\s,;=/\\]{1,40}")
"""Names are written into lists with commas and into tables."""


def checked_name(text: str) -> str:
    """A name or number of a template, if it can be one; raises InputError."""
    if not _NAME.fullmatch(text) or not text.isprintable():
        raise InputError(
            f"{text!r} is no name for a template; write up to 40 letters or digits, without spaces"
        )
    return text


def rename_template(library: Library, word: str, number: str) -> str:
    """Give all versions of a template another number within its set; returns its new name. Blocks
    keep the name they were made with. Raises InputError if the name is taken."""
    entry = library.named(word)
    number = checked_name(number)
    if entry.set_name and number != entry.set_name:
        number = number.removeprefix(entry.set_name)
    name = f"{entry.set_name}{number}"
    if name in library.newest():
        raise InputError(
            f"{name}: the library has a template of this name already; give another name"
        )
    versions = library.versions_of(entry.name)
    for version in versions:
        _name(version, name, number, is_newest=version is versions[-1])
    return name


def _name(entry: Entry, name: str, number: str, is_newest: bool) -> None:
    symbol = entry.element
    if entry.is_tagged:
        paths = symbol.iter(v.svg("path"))
        data = "".join(str(path.get("d", "")) for path in paths)
        symbol.set("id", symbol_id(name, entry.version, data))
    # Blocks go on under the old name, and are still to be known as its users.
    symbol.set(v.TEMPLATE_ONCE, " ".join(dict.fromkeys([*entry.once, entry.name])))
    for element in (symbol, *symbol.iter(*v.SHAPES)):
        if element is symbol or element.get(v.TEMPLATE) is not None:
            element.set(v.TEMPLATE, name)
            element.set(v.TEMPLATE_NUMBER, number)
        if element is not symbol and element.get(v.PIECE) is not None:
            element.set(v.PIECE, number)
    renamed = Entry(
        symbol, name, number, entry.set_name, entry.version, entry.page, entry.size_mm, True
    )
    retitled(renamed, is_newest)


def remove_template(library: Library, word: str) -> str:
    """Take all versions of a template out of a library; returns its name."""
    entry = library.named(word)
    for version in library.versions_of(entry.name):
        _take_out(version.element)
    return entry.name


def _take_out(symbol: etree._Element) -> None:
    """Remove an element with the white space that led to it."""
    around = symbol.getparent()
    if around is None:
        return
    previous = symbol.getprevious()
    if symbol.getnext() is None:
        if previous is None:
            around.text = symbol.tail
        else:
            previous.tail = symbol.tail
    around.remove(symbol)
