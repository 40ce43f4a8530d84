"""Templates placed in a block: the symbol among its definitions, and clones of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from lxml import etree

from applique.library.master import Master
from applique.library.symbols import path_data, symbol_of
from applique.svg import vocabulary as v
from applique.svg.ids import free_id
from applique.svg.transforms import compose, inverse, root_matrix
from applique.units import compact

_LINEAR_DIGITS = 9
"""Decimals of a clone's turn and scale: at 1 m from its origin they move nothing by 0.001 mm."""

_SHIFT_DIGITS = 5


@dataclass(frozen=True)
class Pose:
    """Where a template is put: the middle of its box at `middle_mm` on the page, mirrored left to
    right if so, then turned clockwise by degrees and scaled about it."""

    middle_mm: tuple[float, float]
    turn_degrees: float = 0.0
    mirrored: bool = False
    scale: float = 1.0


def matrix_of(pose: Pose, master: Master) -> np.ndarray:
    """From a template's own mm to mm on the page, (2, 3)."""
    left, top, right, bottom = master.outline.shape.bounds
    angle = np.radians(pose.turn_degrees)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    flip = np.array([-1.0 if pose.mirrored else 1.0, 1.0])
    linear = turn * flip * pose.scale
    middle = np.array([(left + right) / 2, (top + bottom) / 2])
    return np.column_stack([linear, np.array(pose.middle_mm) - linear @ middle])


def bring_symbols(root: etree._Element, masters: Sequence[Master]) -> dict[Master, str]:
    """The ids of templates' symbols among a document's definitions; put there if they are not."""
    return {master: _bring(root, master) for master in dict.fromkeys(masters)}


def _bring(root: etree._Element, master: Master) -> str:
    symbol = symbol_of(master)
    data = path_data(symbol)
    taken = set()
    for element in root.iter("*"):
        if element.get("id"):
            taken.add(str(element.get("id")))
        same = element.tag == symbol.tag and element.get(v.TEMPLATE) == master.name
        if same and path_data(element) == data and element.get("id"):
            return str(element.get("id"))
    symbol.set("id", free_id(str(symbol.get("id")), taken))
    _definitions(root).append(symbol)
    return str(symbol.get("id"))


def _definitions(root: etree._Element) -> etree._Element:
    found = root.find(v.svg("defs"))
    if found is None:
        found = etree.Element(v.svg("defs"))
        found.tail = "\n"
        root.insert(0, found)
    return found


def clone_of(
    root: etree._Element, around: np.ndarray, symbol: str, master: Master, pose: Pose
) -> etree._Element:
    """A clone that shows a symbol in a pose, to be put where the transform `around`, (2, 3), leads
    to the root's units."""
    to_page = compose(root_matrix(root), around)
    matrix = compose(inverse(to_page), matrix_of(pose, master))
    clone = etree.Element(v.svg("use"))
    clone.set(f"{{{v.XLINK}}}href", f"#{symbol}")
    clone.set("transform", written(matrix))
    clone.set(v.TEMPLATE, master.name)
    clone.set(v.TEMPLATE_VERSION, str(master.version))
    return clone


def written(matrix: np.ndarray) -> str:
    """A (2, 3) matrix as a transform is written."""
    linear = [compact(float(value), _LINEAR_DIGITS) for value in matrix[:, :2].T.ravel()]
    shift = [compact(float(value), _SHIFT_DIGITS) for value in matrix[:, 2]]
    return f"matrix({','.join([*linear, *shift])})"
