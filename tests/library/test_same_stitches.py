"""A template makes the same stitches however it lies in a block: drawn in place, as a clone, as a
clone of a clone, or as a copy whose link was cut."""

from __future__ import annotations

import copy
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from applique.library.adding import add_templates
from applique.library.pieces import templates_in
from applique.library.shelf import new_library
from applique.model import Step
from applique.pipeline import make_layers
from applique.svg import vocabulary as v
from tests.shapes import drawing

NEAR_MM = 0.01

TEMPLATES = {
    "corners": "M0 0L30 0L30 20L18 28L0 18Z",
    "curves": "M0 14C0 4 12 0 20 6C28 0 40 4 40 14C40 26 28 30 20 38C12 30 0 26 0 14Z",
    "tips": "M0 12C8 0 24 0 36 12C24 24 8 24 0 12Z",
    "hole": "M0 0L32 0L32 30L0 30Z M10 9L10 21L22 21L22 9Z",
    "two outlines": "M0 0L16 0L16 20L0 20Z M24 4C30 0 38 4 38 12C38 20 30 24 24 20Z",
}
UNITS = {
    "mm": ('width="120mm" height="120mm" viewBox="0 0 120 120"', 1.0),
    "px": ('width="460" height="460"', 96 / 25.4),
}


def symbol_of(path: str) -> etree._Element:
    """A template's symbol, as a library holds it."""
    library = new_library("set")
    source = drawing(f'<path ap:piece="7" d="{path}"/>')
    add_templates(library, templates_in(source, "page")[0], "HB")
    (symbol,) = library.root.iter(v.svg("symbol"))
    return symbol


SYMBOLS = {name: symbol_of(path) for name, path in TEMPLATES.items()}


def pose(x: float, y: float, turn: float, mirrored: bool, scale: float) -> np.ndarray:
    """A (3, 3) matrix: mirrored, turned by degrees, scaled, moved."""
    t = np.radians(turn)
    linear = scale * np.array([[np.cos(t), -np.sin(t)], [np.sin(t), np.cos(t)]])
    linear = linear @ np.diag([-1.0 if mirrored else 1.0, 1.0])
    return np.block([[linear, np.array([[x], [y]])], [np.zeros((1, 2)), np.eye(1)]])


def transform(matrix: np.ndarray) -> str:
    return f"matrix({','.join(f'{value:.9f}' for value in matrix[:2].T.ravel())})"


def drawn_in_place(symbol: etree._Element, matrix: np.ndarray) -> str:
    """The template's path, with every point of it moved to its place."""

    def moved(match: re.Match[str]) -> str:
        x, y, _ = matrix @ [float(match[1]), float(match[2]), 1]
        return f"{x:.6f},{y:.6f}"

    number = r"(-?[\d.]+)"
    path = re.sub(f"{number},{number}", moved, symbol[-1].get("d"))
    return f'<path ap:piece="7" d="{path}"/>'


def clone(symbol: etree._Element, matrix: np.ndarray) -> str:
    return f'<use xlink:href="#{symbol.get("id")}" transform="{transform(matrix)}"/>'


def clone_of_a_clone(symbol: etree._Element, matrix: np.ndarray) -> str:
    first = pose(7, -3, 50, True, 1.25)
    second = transform(matrix @ np.linalg.inv(first))
    inner = clone(symbol, first).replace("<use", '<use id="first"')
    return f'<defs>{inner}</defs><use xlink:href="#first" transform="{second}"/>'


def unlinked(symbol: etree._Element, matrix: np.ndarray) -> str:
    """What the editor makes of a clone whose link is cut."""
    path = etree.tostring(symbol[-1]).decode()
    return f'<g transform="{transform(matrix)}">{path}</g>'


WAYS = (drawn_in_place, clone, clone_of_a_clone, unlinked)


def stitched(content: str, symbol: etree._Element, page: str) -> tuple[Step, ...]:
    root = drawing(content, page)
    etree.SubElement(root, v.svg("defs")).append(copy.deepcopy(symbol))
    return make_layers(root).steps


def furthest_apart(steps: tuple[Step, ...], others: tuple[Step, ...]) -> float:
    """How far in mm any stitch lies from its fellow; endless if the steps are not the same."""
    if [(step.kind, step.links) for step in steps] != [(s.kind, s.links) for s in others]:
        return float("inf")
    furthest = 0.0
    for step, other in zip(steps, others, strict=True):
        for path, fellow in zip(step.paths, other.paths, strict=True):
            if path.shape != fellow.shape:
                return float("inf")
            furthest = max(furthest, float(np.abs(path - fellow).max()))
    return furthest


def check(template: str, unit: str, matrix: np.ndarray) -> None:
    symbol, (page, per_mm) = SYMBOLS[template], UNITS[unit]
    matrix = np.diag([per_mm, per_mm, 1.0]) @ matrix
    in_place, *others = [stitched(way(symbol, matrix), symbol, page) for way in WAYS]
    assert {step.kind for step in in_place} >= {"placement", "edge"}
    for way, steps in zip(WAYS[1:], others, strict=True):
        assert furthest_apart(in_place, steps) < NEAR_MM, way.__name__


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("template", TEMPLATES)
def test_turned_mirrored_and_scaled(template: str, unit: str) -> None:
    check(template, unit, pose(60, 55, turn=33, mirrored=True, scale=1.3))


@pytest.mark.parametrize("template", TEMPLATES)
def test_as_it_was_traced(template: str) -> None:
    check(template, "mm", pose(40, 40, turn=0, mirrored=False, scale=1))


@settings(max_examples=20)
@given(
    st.sampled_from(sorted(TEMPLATES)),
    st.sampled_from(sorted(UNITS)),
    st.floats(40, 80),
    st.floats(-180, 180),
    st.booleans(),
    st.sampled_from([1.0, 0.7, 1.6]),
)
def test_in_any_pose(
    template: str, unit: str, place: float, turn: float, mirrored: bool, scale: float
) -> None:
    check(template, unit, pose(place, 120 - place, turn, mirrored, scale))


@pytest.mark.parametrize("template", TEMPLATES)
def test_the_drawing_that_it_came_from_has_the_same_stitches(template: str) -> None:
    # The drawing lies 50 mm from the page's corner; its template at its own corner.
    page, symbol = UNITS["mm"][0], SYMBOLS[template]
    path = f'<path ap:piece="7" d="{TEMPLATES[template]}"/>'
    source = drawing(path)
    left, top, *_ = templates_in(source, "page")[0][0].outline.shape.bounds
    before = stitched(f'<g transform="translate(50 50)">{path}</g>', symbol, page)
    after = stitched(clone(symbol, pose(50 + left, 50 + top, 0, False, 1)), symbol, page)
    assert furthest_apart(before, after) < NEAR_MM
