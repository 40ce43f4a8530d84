"""Drawings changed as trees: attributes, elements and style sheets; what is no tree stays as it is.

Changes keep a drawing readable as XML, so that they reach what lies behind the parser.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from contextlib import suppress
from copy import deepcopy

from lxml import etree

from applique.svg.vocabulary import AP, SVG
from tests.fuzz.nasty import ATTRIBUTES, BY_NAME, EVERY, FRAGMENTS, NUMBERS, SHEETS, TAGS

_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_LONGEST_VALUE = 20_000
_MOST_ELEMENTS = 120


def mutated_svg(data: bytes, other: bytes, changes: int, chance: random.Random) -> bytes:
    """A drawing with so many changes."""
    root = _tree_of(data)
    if root is None:
        return data
    for _ in range(changes):
        elements = [element for element in root.iter() if isinstance(element.tag, str)]
        with suppress(ValueError):  # XML can't hold every sign.
            chance.choice(_CHANGES)(root, elements, other, chance)
    return etree.tostring(root)


def _tree_of(data: bytes) -> etree._Element | None:
    try:
        return etree.fromstring(data, etree.XMLParser(resolve_entities=False, huge_tree=True))
    except etree.XMLSyntaxError:
        return None


def _with_attributes(
    elements: list[etree._Element], chance: random.Random
) -> tuple[etree._Element, str] | None:
    """An element and one of its attributes."""
    element = chance.choice(elements)
    names = list(element.attrib)
    return (element, str(chance.choice(names))) if names else None


def _value_swapped(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    found = _with_attributes(elements, chance)
    if found is not None:
        element, name = found
        element.set(name, _value_for(name, elements, chance))


def _value_for(name: str, elements: list[etree._Element], chance: random.Random) -> str:
    """A nasty value for an attribute, or that of another attribute of the drawing."""
    draw = chance.random()
    if draw < 0.15:
        source = chance.choice(elements)
        values = [str(value) for value in source.attrib.values()]
        return chance.choice(values) if values else ""
    own = BY_NAME.get(name.rpartition("}")[2])
    return chance.choice(own if own is not None and draw < 0.8 else EVERY)


def _number_changed(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    found = _with_attributes(elements, chance)
    if found is None:
        return
    element, name = found
    text = str(element.get(name))[:_LONGEST_VALUE]
    numbers = list(_NUMBER.finditer(text))
    if numbers:
        number = chance.choice(numbers)
        new = _other_number(number[0], chance)
        element.set(name, text[: number.start()] + new + text[number.end() :])


def _other_number(text: str, chance: random.Random) -> str:
    draw = chance.random()
    if draw < 0.2:
        return chance.choice(NUMBERS)
    if draw < 0.6:
        return f"{float(text) + chance.choice((-30, -5, -1, -0.01, 0.0001, 0.01, 1, 5, 30)):.6g}"
    return f"{float(text) * chance.choice((0, -1, 0.5, 2, 100, -1e4, 1e-4)):.6g}"


def _attribute_added(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    name = chance.choice(ATTRIBUTES)
    chance.choice(elements).set(name, _value_for(name, elements, chance))


def _attribute_dropped(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    found = _with_attributes(elements, chance)
    if found is not None:
        del found[0].attrib[found[1]]


def _data_cut(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    """A value cut off, doubled, or with a letter in it changed."""
    found = _with_attributes(elements, chance)
    if found is None:
        return
    element, name = found
    text = str(element.get(name))[:_LONGEST_VALUE]
    at = chance.randint(0, len(text))
    new = (
        text[:at],
        text[at:],
        f"{text} {text}",
        text[:at] + chance.choice("MmLlZCQATSHV-, 0e.") + text[at:],
    )
    element.set(name, chance.choice(new))


def _element_dropped(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    element = chance.choice(elements)
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def _element_doubled(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    if len(elements) < _MOST_ELEMENTS:
        _put(deepcopy(chance.choice(elements)), elements, chance)


def _element_moved(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    element = chance.choice(elements)
    outside = [each for each in elements if element not in (each, *each.iterancestors())]
    if element is not root and outside:
        _put(element, outside, chance)


def _element_renamed(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    element = chance.choice(elements)
    if element is not root:
        element.tag = f"{{{SVG}}}{chance.choice(TAGS)}"


def _element_wrapped(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    """A group, or something else, round an element."""
    element = chance.choice(elements)
    parent = element.getparent()
    if parent is None:
        return
    around = etree.Element(f"{{{SVG}}}{chance.choice(TAGS)}")
    name = chance.choice(ATTRIBUTES)
    around.set(name, _value_for(name, elements, chance))
    parent.replace(element, around)
    around.append(element)


def _fragment_put(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    text = f'<svg xmlns="{SVG}" xmlns:ap="{AP}">{chance.choice(FRAGMENTS)}</svg>'
    for element in etree.fromstring(text):
        _put(element, elements, chance)


def _sheet_put(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    style = etree.Element(f"{{{SVG}}}style")
    style.text = chance.choice(SHEETS) + chance.choice(("", " ", *SHEETS))
    root.insert(0, style)


def _spliced(
    root: etree._Element, elements: list[etree._Element], other: bytes, chance: random.Random
) -> None:
    """An element of the other drawing put in."""
    found = _tree_of(other)
    if found is None or len(elements) > _MOST_ELEMENTS:
        return
    _put(chance.choice([e for e in found.iter() if isinstance(e.tag, str)]), elements, chance)


def _put(element: etree._Element, elements: list[etree._Element], chance: random.Random) -> None:
    """An element put somewhere into another."""
    parent = chance.choice(elements)
    parent.insert(chance.randint(0, len(parent)), element)


_CHANGES: tuple[
    Callable[[etree._Element, list[etree._Element], bytes, random.Random], None], ...
] = (
    *(_value_swapped, _value_swapped, _value_swapped, _number_changed, _number_changed),
    *(_number_changed, _attribute_added, _attribute_added, _attribute_dropped, _data_cut),
    *(_data_cut, _element_dropped, _element_doubled, _element_moved, _element_renamed),
    *(_element_wrapped, _fragment_put, _sheet_put, _spliced),
)
