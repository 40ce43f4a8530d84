"""What of an artwork is taken, how it is painted, and what is told of the rest."""

from __future__ import annotations

from typing import Any

import pytest

from applique.artwork.gather import Shape, gather
from applique.artwork.told import MOST_NAMES, Told
from tests.artwork.motifs import artwork

BOX = 'width="60" height="40"'


def taken(content: str, size: str = 'viewBox="0 0 480 360"') -> tuple[tuple[Shape, ...], Any]:
    told = Told()
    shapes = gather(artwork(content, size), told).shapes
    return shapes, {finding.code: finding.message for finding in told.findings()}


@pytest.mark.parametrize(
    ("content", "code"),
    [
        ('<text id="it" x="9" y="9">Pier</text>', "text"),
        ('<image id="it" width="9" height="9"/>', "image"),
        ('<use id="it" xlink:href="#gone"/>', "broken-clone"),
        (f'<rect id="it" {BOX} style="display:none"/>', "hidden"),
        (f'<g visibility="hidden"><rect id="it" {BOX}/></g>', "hidden"),
        (f'<rect id="it" {BOX} x="600"/>', "off-page"),
        ('<foreignObject id="it"/>', "foreign"),
        ('<path id="it" d="M0 0 wrong"/>', "unreadable"),
        (f'<rect id="it" {BOX} transform="wrong(3)"/>', "unreadable"),
        (f'<rect id="it" {BOX} transform="scale(1 0)"/>', "unreadable"),
        (f'<rect id="it" {BOX} transform="translate(1e8)"/>', "unreadable"),
    ],
)
def test_what_is_left_out_is_told_by_name(content: str, code: str) -> None:
    shapes, told = taken(content)
    assert shapes == ()
    assert set(told) == {code}
    assert code == "unreadable" or "it" in told[code]


@pytest.mark.parametrize(
    ("attributes", "code"),
    [
        ('opacity=".5"', "opacity"),
        ('fill-opacity="50%"', "opacity"),
        ('fill="rgba(200, 0, 0, .4)"', "opacity"),
        ('fill="#ff000080"', "opacity"),
        ('clip-path="url(#c)"', "clipped"),
        ('mask="url(#m)"', "clipped"),
        ('filter="url(#blur)"', "filter"),
        ('fill="url(#sky)"', "gradient"),
        ('stroke="#000" stroke-dasharray="4 2"', "dashes"),
        ('stroke="#000" marker-end="url(#arrow)"', "markers"),
    ],
)
def test_what_is_taken_otherwise_is_told_by_name(attributes: str, code: str) -> None:
    gradient = '<linearGradient id="sky"><stop stop-color="#fff"/></linearGradient>'
    shapes, told = taken(f'<defs>{gradient}</defs><rect id="it" {BOX} {attributes}/>')
    assert [shape.name for shape in shapes] == ["it"]
    assert set(told) == {code}
    assert "(it)" in told[code]


def test_opacity_of_groups_counts_and_plain_paint_is_not_told() -> None:
    assert "opacity" in taken(f'<g opacity=".9"><g><rect {BOX}/></g></g>')[1]
    assert taken(f'<g opacity="1"><rect {BOX} fill="#abc" stroke="none"/></g>')[1] == {}


def test_layers_clones_symbols_and_switches() -> None:
    shapes, told = taken(
        '<defs><symbol id="post" viewBox="0 0 2 10"><rect width="2" height="10"/></symbol></defs>'
        f'<g inkscape:groupmode="layer" fill="#123456"><rect id="plank" {BOX}/></g>'
        '<use id="post-1" xlink:href="#post" width="20" height="100" fill="#80603f"/>'
        '<use id="again" href="#plank" x="100"/>'
        f'<switch><foreignObject requiredExtensions="x"/><g><rect id="plain" {BOX}/></g></switch>'
    )
    assert [shape.name for shape in shapes] == ["plank", "post-1", "again", "plain"]
    assert [shape.fill for shape in shapes] == ["#123456", "#80603f", "#000000", "#000000"]
    assert told == {}


def test_strokes_are_inherited_through_clones_and_classes() -> None:
    shapes, _ = taken(
        "<style>.rope { stroke: currentColor; stroke-width: 2mm; stroke-linecap: round }</style>"
        '<defs><path id="line" class="rope" fill="none" d="M0 0h9"/></defs>'
        '<g color="#d3b37a" stroke-linejoin="bevel" stroke-miterlimit="7">'
        '<use href="#line" x="9"/></g>'
    )
    stroke = shapes[0].stroke
    assert stroke is not None
    assert (stroke.colour, stroke.cap, stroke.join) == ("#d3b37a", "round", "bevel")
    assert stroke.width == pytest.approx(2 * 96 / 25.4)
    assert stroke.miter_limit == 7


@pytest.mark.parametrize("hidden", ['stroke-width="0"', 'stroke-opacity="0"', 'stroke="none"'])
def test_strokes_that_are_not_seen_are_none(hidden: str) -> None:
    assert taken(f'<g stroke="#000"><rect {BOX} {hidden}/></g>')[0][0].stroke is None


def test_a_stroke_that_no_transform_widens() -> None:
    line = (
        '<path transform="scale(9)" vector-effect="non-scaling-stroke" stroke="#000" d="M0 0h9"/>'
    )
    shape = taken(line, 'width="480mm" height="360mm" viewBox="0 0 480 360"')[0][0]
    assert shape.stroke is not None
    assert shape.stroke.width == pytest.approx(25.4 / 96)
    assert shape.curves[0].segments.max() == pytest.approx(81)


@pytest.mark.parametrize(
    ("stops", "mean"),
    [
        ('<stop stop-color="#000"/><stop offset="1" stop-color="#fff"/>', "#808080"),
        ('<stop offset="50%" stop-color="#000"/><stop offset="50%" stop-color="#fff"/>', "#808080"),
        ('<stop offset=".6" stop-color="#000"/><stop offset="1" stop-color="#fff"/>', "#333333"),
        ('<stop offset="1" style="stop-color:#123456"/>', "#123456"),
        ('<stop stop-color="#c00"/><stop offset="1" stop-opacity="0"/>', "#cc0000"),
    ],
)
def test_a_gradient_becomes_its_mean(stops: str, mean: str) -> None:
    shapes, _ = taken(
        f'<linearGradient id="stops">{stops}</linearGradient>'
        '<radialGradient id="g" xlink:href="#stops"/>'
        f'<rect {BOX} fill="url(#g)"/>'
    )
    assert shapes[0].fill == mean


def test_a_pattern_becomes_grey() -> None:
    shapes, told = taken(f'<pattern id="p"/><rect id="it" {BOX} fill="url(#p)"/>')
    assert shapes[0].fill == "#808080"
    assert "gradient" in told


def test_without_a_page_nothing_lies_beside_it() -> None:
    far = f'<rect {BOX} x="6000"/>'
    assert len(taken(far, "")[0]) == 1
    assert len(taken(far, 'width="100%" height="100%"')[0]) == 1


def test_shapes_without_a_name_get_a_number() -> None:
    assert [s.name for s in taken(f"<rect {BOX}/><rect {BOX}/>")[0]] == ["<rect> 1", "<rect> 2"]


def test_very_many_names_are_counted() -> None:
    told = Told()
    for number in range(MOST_NAMES + 5):
        told.add("hidden", f"p{number}")
    assert told.findings()[0].message.endswith("and 5 more)")
