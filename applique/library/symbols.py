"""Templates as symbols: written with all they are known by, read back with what they say."""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

from applique.errors import InputError
from applique.library.master import Master, curves_of, size_of, size_text, symbol_id, title_of
from applique.model import Outline
from applique.origin import version_in
from applique.svg import vocabulary as v
from applique.svg.paths import write_path
from applique.units import compact, size_mm

DIGITS = 4
"""Coordinates are written to a ten-thousandth of a millimetre, so that a template keeps its place
within a thousandth however often it is copied."""


@dataclass(frozen=True, eq=False)
class Entry:
    """A template in a library's file. `element` is its symbol; `is_tagged` is false where somebody
    made it by hand and only its title or id tells what it is. `once` are names it had before."""

    element: etree._Element
    name: str
    number: str
    set_name: str
    version: int
    page: str
    size_mm: tuple[float, float] | None
    is_tagged: bool
    once: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """The symbol's id."""
        return str(self.element.get("id", ""))


def symbol_of(master: Master, is_newest: bool = True) -> etree._Element:
    """A template's symbol, in mm. It has one path, whatever rings it has, so that a copy whose link
    was cut is still one piece; what is known of it stands on both, because cutting the link loses
    the symbol's."""
    data = write_path(curves_of(master.outline), DIGITS)
    symbol = etree.Element(v.svg("symbol"), nsmap={"ap": v.AP})
    symbol.set("id", symbol_id(master.name, master.version, data))
    # A clone shows nothing beyond its symbol's box unless it is told to.
    symbol.set("style", "overflow:visible")
    symbol.text = "\n      "
    title = etree.SubElement(symbol, v.svg("title"))
    title.text = title_of(master.name, master.version, is_newest)
    title.tail = "\n      "
    path = etree.SubElement(symbol, v.svg("path"))
    path.set(v.PIECE, master.number)
    path.set("d", data)
    path.tail = "\n    "
    for name, text in _known_of(master).items():
        symbol.set(name, text)
        path.set(name, text)
    return symbol


def _known_of(master: Master) -> dict[str, str]:
    shape = master.outline.shape
    return {
        v.TEMPLATE: master.name,
        v.TEMPLATE_VERSION: str(master.version),
        v.TEMPLATE_NUMBER: master.number,
        v.TEMPLATE_SET: master.set_name,
        v.TEMPLATE_SIZE: size_text(size_of(master.outline)),
        v.TEMPLATE_AREA: compact(float(shape.area), 3),
        v.TEMPLATE_PERIMETER: compact(float(shape.length), 3),
        v.TEMPLATE_PAGE: master.page,
    }


def master_of(entry: Entry, outline: Outline) -> Master:
    """A template of a library with its outline, as it lies in its symbol."""
    return Master(entry.number, entry.set_name, entry.version, outline, entry.page)


def path_data(symbol: etree._Element) -> tuple[str, ...]:
    """The data of a symbol's paths: what tells one outline from another."""
    return tuple(str(path.get("d")) for path in symbol.iter(v.svg("path")))


def entry_of(symbol: etree._Element) -> Entry:
    """What a symbol says of itself. One without our tags is called by its title or its id. Raises
    InputError if it says what can't be."""
    title = _title(symbol)
    own_id = str(symbol.get("id", ""))
    tagged = symbol.get(v.TEMPLATE)
    name = (tagged or title or own_id).strip()
    if not name:
        raise InputError("a symbol has neither a name, a title nor an id; give it a title")
    number, set_name = str(symbol.get(v.TEMPLATE_NUMBER, name)), str(symbol.get(v.TEMPLATE_SET, ""))
    if set_name + number != name:  # Edited by hand: the name is what blocks know it by.
        number, set_name = name, ""
    return Entry(
        symbol,
        name,
        number,
        set_name,
        _version(symbol, name),
        str(symbol.get(v.TEMPLATE_PAGE, "")),
        _size(symbol),
        tagged is not None,
        tuple(str(symbol.get(v.TEMPLATE_ONCE, "")).split()),
    )


def retitled(entry: Entry, is_newest: bool) -> None:
    """Write a template's title anew, after its name or its standing among its versions changed."""
    title = entry.element.find(v.svg("title"))
    if title is None:
        title = etree.Element(v.svg("title"))
        title.tail = "\n      "
        entry.element.insert(0, title)
    title.text = title_of(entry.name, entry.version, is_newest)


def _title(symbol: etree._Element) -> str:
    found = symbol.find(v.svg("title"))
    return "" if found is None else "".join(str(part) for part in found.itertext())


def _version(symbol: etree._Element, name: str) -> int:
    text = str(symbol.get(v.TEMPLATE_VERSION, "1"))
    version = version_in(text)
    if version is None:
        raise InputError(f"{name}: its version '{text[:20]}' is no whole number from 1 on; mend it")
    return version


def _size(symbol: etree._Element) -> tuple[float, float] | None:
    try:
        return size_mm(str(symbol.get(v.TEMPLATE_SIZE, "")))
    except ValueError:
        return None
