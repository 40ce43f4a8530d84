"""Walking a document: every shape it draws, clones included, with its place on the page in mm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from lxml import etree

from applique.errors import InputError
from applique.svg.shapes import Viewport, is_shape
from applique.svg.style import Look, StyleSheet
from applique.svg.transforms import (
    compose,
    page_size_mm,
    parse_transform,
    root_matrix,
    viewbox_matrix,
    viewbox_of,
)
from applique.svg.vocabulary import AP, NEVER_DRAWN, ROLE, XLINK, svg
from applique.units import MM_PER_PX, MM_PER_UNIT, split_length

MOST_SHAPES = 100_000
"""Clones of clones can make a small file draw without end; no block has this many shapes."""

Kind = Literal["shape", "text", "image"]


@dataclass(frozen=True, eq=False)
class Drawn:
    """One thing the document draws.

    `element` draws it, `owner` is what the user selects and tags: the element itself or the clone
    through which it is seen. `tags` are the project's attributes by name, the owner's over those of
    what it clones. `matrix` leads from the element's units to mm on the page. `fault` says why it
    can't be placed, "" if it can.
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


def drawn(root: etree._Element, selected: frozenset[str] = frozenset()) -> Iterator[Drawn]:
    """Everything the document draws, in stacking order, the lowest first.

    Elements under a group or clone whose id is in `selected` count as selected. The project's own
    layers are passed over. Raises InputError if the document draws without end.
    """
    sheet = StyleSheet(root)
    by_id = {found.get("id", ""): found for found in root.iter("*") if found.get("id")}
    width, height = page_size_mm(root)
    box = viewbox_of(root)
    viewport = (box[2], box[3]) if box else (width / MM_PER_PX, height / MM_PER_PX)
    start = _Place(root_matrix(root), viewport, sheet.look(root, Look()), selected=False)
    stack = [(child, start) for child in reversed(_children(root))]
    count = 0
    while stack:
        element, around = stack.pop()
        place = _entered(element, around, sheet, selected)
        kind = _kind(element)
        if kind is not None:
            count += 1
            if count > MOST_SHAPES:
                raise InputError(
                    f"the document draws more than {MOST_SHAPES} shapes; "
                    "look for clones of groups that hold clones"
                )
            yield _drawn(kind, element, place)
        elif element.tag == svg("use"):
            stack.extend(_cloned(element, place, by_id))
        elif element.tag not in NEVER_DRAWN and element.get(ROLE) is None:
            inner = _inside(element, place) if element.tag == svg("svg") else place
            children = _children(element)
            shown = children[:1] if element.tag == svg("switch") else children
            stack.extend((child, inner) for child in reversed(shown))


def own_tags(element: etree._Element) -> dict[str, str]:
    """The project's attributes of an element by their local names."""
    prefix = f"{{{AP}}}"
    return {
        str(name)[len(prefix) :]: str(value)
        for name, value in element.attrib.items()
        if str(name).startswith(prefix)
    }


def _children(element: etree._Element) -> list[etree._Element]:
    return [child for child in element if isinstance(child.tag, str)]


def _kind(element: etree._Element) -> Kind | None:
    if is_shape(element):
        return "shape"
    if element.tag in (svg("text"), svg("flowRoot")):
        return "text"
    return "image" if element.tag == svg("image") else None


def _entered(
    element: etree._Element, around: _Place, sheet: StyleSheet, selected: frozenset[str]
) -> _Place:
    """The place inside an element's own transform, style and tags."""
    fault, matrix = around.fault, around.matrix
    if element.get("transform"):
        try:
            matrix = compose(matrix, parse_transform(element.get("transform")))
        except ValueError as problem:
            fault = str(problem)
    return replace(
        around,
        matrix=matrix,
        fault=fault,
        look=sheet.look(element, around.look),
        selected=around.selected or (bool(selected) and element.get("id", "") in selected),
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
    )


def _cloned(
    use: etree._Element, place: _Place, by_id: Mapping[str, etree._Element]
) -> list[tuple[etree._Element, _Place]]:
    """What a clone shows, at its place; nothing if it points nowhere or into itself."""
    target_id = (use.get("href") or use.get(f"{{{XLINK}}}href") or "").lstrip("#")
    target = by_id.get(target_id)
    if target is None or target_id in place.cloned:
        return []
    shift = np.array([[1, 0, _px(use, "x")], [0, 1, _px(use, "y")]])
    inner = replace(
        place,
        matrix=compose(place.matrix, shift),
        owner=use if place.owner is None else place.owner,
        tags={**own_tags(target), **own_tags(use), **place.tags},
        cloned=(*place.cloned, target_id),
        of_symbol=place.of_symbol or target.tag == svg("symbol"),
    )
    if target.tag not in (svg("symbol"), svg("svg")):
        return [(target, inner)]
    width, height = (
        _px(use, "width", _px(target, "width", inner.viewport[0])),
        _px(use, "height", _px(target, "height", inner.viewport[1])),
    )
    box = viewbox_of(target)
    inner = replace(
        inner,
        matrix=compose(inner.matrix, viewbox_matrix(target, width, height)),
        viewport=(box[2], box[3]) if box else (width, height),
    )
    return [(child, inner) for child in reversed(_children(target))]


def _inside(nested: etree._Element, place: _Place) -> _Place:
    """The place inside a nested svg element."""
    width = _px(nested, "width", place.viewport[0])
    height = _px(nested, "height", place.viewport[1])
    shift = np.array([[1, 0, _px(nested, "x")], [0, 1, _px(nested, "y")]])
    box = viewbox_of(nested)
    return replace(
        place,
        matrix=compose(compose(place.matrix, shift), viewbox_matrix(nested, width, height)),
        viewport=(box[2], box[3]) if box else (width, height),
    )


def _px(element: etree._Element, name: str, default: float = 0.0) -> float:
    """A length attribute in user units; what can't be read counts as not given."""
    try:
        number, unit = split_length(element.get(name, ""))
    except ValueError:
        return default
    if unit == "%":
        return default * number / 100 if default else 0.0
    return number * MM_PER_UNIT.get(unit, MM_PER_PX) / MM_PER_PX
