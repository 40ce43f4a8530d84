"""Which templates a block is made of."""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

from applique.origin import origin_of
from applique.svg.tree import drawn
from applique.svg.vocabulary import svg


@dataclass(frozen=True)
class Use:
    """A template in a block: the label of the piece, the template's name and version, and whether
    the piece is a clone of it."""

    label: str
    template: str
    version: int
    is_clone: bool = True


def uses_in(root: etree._Element) -> tuple[Use, ...]:
    """The templates that a block shows, clones and unlinked copies alike, in stacking order. Raises
    InputError if the document draws without end."""
    found: dict[object, Use] = {}
    for item in drawn(root):
        origin = origin_of(item.tags) if item.kind == "shape" else None
        if origin is not None:
            is_clone = item.owner.tag == svg("use")
            use = Use(item.tags.get("piece", ""), origin.template, origin.version, is_clone)
            found.setdefault(item.owner, use)
    return tuple(found.values())
