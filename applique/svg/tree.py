"""Walking a document: every shape it draws, clones included, with its place on the page in mm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from lxml import etree

from applique.errors import InputError
from applique.svg.shapes import is_shape
from applique.svg.style import Look, StyleSheet, elements_by_id
from applique.svg.transforms import compose, parse_transform, root_matrix
from applique.svg.viewport import Viewport, inside, shift_of, viewport_of_root
from applique.svg.vocabulary import AP, DETAIL, NEVER_DRAWN, PIECE, ROLE, XLINK, svg

MOST_SHAPES = 50_000
"""Clones of clones can make a small file draw without end; no block has this many shapes."""

DEEPEST_CLONES = 100
"""Clones may show clones, each of which costs as much as all that it is seen through; a drawing by
hand has a handful."""

MOST_PATH_LETTERS = 4_000_000
"""Letters of path data that all shapes together may have, clones counted once each time they are
shown; some 300,000 nodes, and ten seconds to read."""

Kind = Literal["shape", "text", "image", "broken clone", "group"]
"""A broken clone shows nothing; a group is one that bears the tags of a piece or a
detail."""


@dataclass(frozen=True, eq=False)
class Drawn:
    """One thing the document draws.

    `element` draws it, `owner` is what the user selects and tags: the element itself or the clone
    through which it is seen. `tags` are the project's attributes by name, the owner's over those of
    what it clones. `matrix` leads from the element's units to mm on the page. `fault` says why it
    can't be placed, "" if it can. `chain` are the elements it inherits its style through, from just
    inside the root to itself; clones stand in it before what they show.
    """

    kind: Kind
    element: etree._Element
    owner: etree._Element
    matrix: np.ndarray
    viewport: Viewport
    look: Look
    tags: Mapping[str, str]
    selected: bool
    of_symbol: bool
    fault: str = ""
    chain: tuple[etree._Element, ...] = ()


@dataclass(frozen=True, eq=False)
class _Place:
    """Where the walk stands: all that an element inherits."""

    matrix: np.ndarray
    viewport: Viewport
    look: Look
    selected: bool
    owner: etree._Element | None = None
    tags: Mapping[str, str] = field(default_factory=dict)
    cloned: tuple[str, ...] = ()
    of_symbol: bool = False
    fault: str = ""
    through: etree._Element | None = None
    chain: tuple[etree._Element, ...] = ()


def drawn(root: etree._Element, selected: frozenset[str] = frozenset()) -> Iterator[Drawn]:
    """Everything the document draws, in stacking order, the lowest first.

    Elements under a group or clone whose id is in `selected` count as selected. The project's own
    layers are passed over. Raises InputError if the document draws without end.
    """
    sheet = StyleSheet(root)
    by_id = elements_by_id(root)
    start = _Place(root_matrix(root), viewport_of_root(root), sheet.look(root, Look()), False)
    stack = [(child, start) for child in reversed(_shown_children(root))]
    count = letters = 0
    while stack:
        element, around = stack.pop()
        place = _entered(element, around, sheet, selected)
        kind = _kind(element, place, by_id)
        count += kind is not None or bool(place.cloned)
        if count > MOST_SHAPES:
            raise InputError(
                f"the document draws more than {MOST_SHAPES} shapes; "
                "look for clones of groups that hold clones"
            )
        if kind is not None:
            letters += len(element.get("d", "")) + len(element.get("points", ""))
            if letters > MOST_PATH_LETTERS:
                raise InputError(
                    f"the document's shapes have more than {MOST_PATH_LETTERS} letters of path "
                    "data; simplify them (Path > Simplify)"
                )
            yield _drawn(kind, element, place)
        if element.tag == svg("use") and kind is None:
            if len(place.cloned) >= DEEPEST_CLONES:
                raise InputError(
                    f"clones show clones more than {DEEPEST_CLONES} deep; unlink some of them "
                    "(Edit > Clone > Unlink Clone)"
                )
            stack.append(_cloned(element, place, by_id))
        elif kind in (None, "group") and _has_content(element, around):
            stack.extend((child, place) for child in reversed(_shown_children(element)))


def own_tags(element: etree._Element) -> dict[str, str]:
    """The project's attributes of an element by their local names."""
    prefix = f"{{{AP}}}"
    return {
        str(name)[len(prefix) :]: str(value)
        for name, value in element.attrib.items()
        if str(name).startswith(prefix)
    }


def _shown_children(element: etree._Element) -> list[etree._Element]:
    """The children that are drawn; of a switch, the first that asks for nothing special."""
    children = [child for child in element if isinstance(child.tag, str)]
    if element.tag != svg("switch"):
        return children
    plain = [
        child
        for child in children
        if child.tag not in NEVER_DRAWN and not child.get("requiredExtensions")
    ]
    return sorted(plain, key=lambda child: child.get("systemLanguage") is not None)[:1]


def _has_content(element: etree._Element, around: _Place) -> bool:
    """Whether the children of an element are drawn; those of a symbol are in a clone of it."""
    if element.tag == svg("symbol"):
        return bool(around.cloned) and around.cloned[-1] == element.get("id")
    return element.tag not in NEVER_DRAWN and element.get(ROLE) is None


def _kind(
    element: etree._Element, place: _Place, by_id: Mapping[str, etree._Element]
) -> Kind | None:
    if is_shape(element):
        return "shape"
    if element.tag in (svg("text"), svg("flowRoot")):
        return "text"
    if element.tag == svg("use"):
        target = _target_id(element)
        return None if target in by_id and target not in place.cloned else "broken clone"
    if element.tag == svg("image"):
        return "image"
    is_tagged = element.get(PIECE) is not None or element.get(DETAIL) is not None
    is_tagged_group = element.tag == svg("g") and is_tagged
    return "group" if is_tagged_group and place.owner is None else None


def _entered(
    element: etree._Element, around: _Place, sheet: StyleSheet, selected: frozenset[str]
) -> _Place:
    """The place inside an element: its transform, its viewport if it has one, its style."""
    fault, matrix, viewport = around.fault, around.matrix, around.viewport
    try:
        if element.get("transform"):
            matrix = compose(matrix, parse_transform(element.get("transform")))
        if element.tag in (svg("svg"), svg("symbol")):
            inner, viewport = inside(element, viewport, around.through)
            matrix = compose(matrix, inner)
        elif element.tag == svg("use"):
            matrix = compose(matrix, shift_of(element, viewport))
    except ValueError as problem:
        fault = str(problem)
    return replace(
        around,
        matrix=matrix,
        viewport=viewport,
        fault=fault,
        look=sheet.look(element, around.look),
        selected=around.selected or (bool(selected) and element.get("id", "") in selected),
        through=None,
        chain=(*around.chain, element),
    )


def _drawn(kind: Kind, element: etree._Element, place: _Place) -> Drawn:
    # A clone's own tags stand over those of what it shows.
    tags = {**own_tags(element), **place.tags} if place.owner is not None else own_tags(element)
    owner = element if place.owner is None else place.owner
    return Drawn(
        kind,
        element,
        owner,
        place.matrix,
        place.viewport,
        place.look,
        tags,
        place.selected,
        place.of_symbol,
        place.fault,
        place.chain,
    )


def _target_id(use: etree._Element) -> str:
    return (use.get("href") or use.get(f"{{{XLINK}}}href") or "").lstrip("#")


def _cloned(
    use: etree._Element, place: _Place, by_id: Mapping[str, etree._Element]
) -> tuple[etree._Element, _Place]:
    """What a clone shows, and the place where it shows it."""
    target = by_id[_target_id(use)]
    inner = replace(
        place,
        owner=use if place.owner is None else place.owner,
        tags={**own_tags(target), **own_tags(use), **place.tags},
        cloned=(*place.cloned, _target_id(use)),
        of_symbol=place.of_symbol or target.tag == svg("symbol"),
        through=use,
    )
    return target, inner
