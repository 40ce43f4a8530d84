"""Ids for new elements: made from labels, and unlike any other in the document."""

from __future__ import annotations

import itertools

from lxml import etree


def id_part(label: str) -> str:
    """A label as part of an id."""
    return "".join(sign if sign.isalnum() or sign in "-_." else "-" for sign in label)


def ids_in(root: etree._Element) -> set[str]:
    """All ids of a document."""
    return {str(element.get("id")) for element in root.iter("*") if element.get("id")}


def free_id(base: str, taken: set[str]) -> str:
    """An id that is not taken: `base`, or `base` with a number. It is taken from then on."""
    names = itertools.chain([base], (f"{base}-{number}" for number in itertools.count(2)))
    name = next(name for name in names if name not in taken)
    taken.add(name)
    return name
