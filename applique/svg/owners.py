"""The elements that bear the tags of pieces and details, and what they are to be tagged with."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lxml import etree

from applique.model import Detail, Piece
from applique.svg.details import SPOT


@dataclass(frozen=True, eq=False)
class Owner:
    """An element that bears the tags of one piece, or of several seen through one clone.

    `source` is its id, a new one if it has none yet; `fabric` is the one to tag it with, None where
    it has one already or where its pieces differ. `detail` is the style to tag it with, None where
    it is a piece or tagged already.
    """

    element: etree._Element
    source: str
    label: str
    fabric: str | None
    concerned: bool
    detail: str | None = None


def sources_of(
    root: etree._Element, owners: Mapping[etree._Element, str]
) -> dict[etree._Element, str]:
    """The ids of the owners; those without one get a new one made from their label."""
    taken = {str(found.get("id")) for found in root.iter("*") if found.get("id")}
    sources = {}
    for element, label in owners.items():
        source = str(element.get("id", ""))
        if not source:
            base = "piece-" + re.sub(r"[^A-Za-z0-9_.-]", "_", label)
            tries = itertools.chain([base], (f"{base}-{k}" for k in itertools.count(2)))
            source = next(name for name in tries if name not in taken)
            taken.add(source)
        sources[element] = source
    return sources


def owners_of(
    labels: Mapping[etree._Element, str],
    sources: Mapping[etree._Element, str],
    parts: Sequence[Piece | Detail],
    concerned: frozenset[str],
    untagged: set[etree._Element],
    now_details: set[etree._Element],
) -> tuple[Owner, ...]:
    """The owners with what they are to be tagged with: `untagged` ones have no fabric yet,
    `now_details` have no fabric any more but are sewn as spots."""
    by_source: dict[str, list[Piece | Detail]] = {}
    for part in parts:
        by_source.setdefault(part.source, []).append(part)
    owners = []
    for element, label in labels.items():
        own = by_source.get(sources[element], [])
        fabrics = {part.fabric for part in own if isinstance(part, Piece)}
        fabric = fabrics.pop() if len(fabrics) == 1 and element in untagged else None
        asked = any(part.label in concerned for part in own)
        detail = SPOT if element in now_details else None
        owners.append(Owner(element, sources[element], label, fabric, asked, detail))
    return tuple(owners)
