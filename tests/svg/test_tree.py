"""Where things are drawn: groups, clones, symbols, nested documents."""

import numpy as np
import pytest
import shapely
from lxml import etree

from applique.errors import InputError
from applique.svg.outlines import trace
from applique.svg.tree import MOST_SHAPES, drawn
from applique.svg.vocabulary import svg
from tests.shapes import drawing

SQUARE = '<rect id="r" width="10" height="10"/>'
SYMBOL = '<symbol id="s" viewBox="0 0 20 20"><rect width="20" height="20"/></symbol>'


def bounds_of(content: str, size: str | None = None) -> list[list[float]]:
    root = drawing(content) if size is None else drawing(content, size)
    found = []
    for item in drawn(root):
        if item.kind != "shape":
            continue
        outline = trace([item]).outline
        assert outline is not None
        found.append([round(value, 3) for value in shapely.bounds(outline.shape).tolist()])
    return found


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (SQUARE, [0, 0, 10, 10]),
        (f'<g transform="translate(5,6)"><g transform="scale(2)">{SQUARE}</g></g>', [5, 6, 25, 26]),
        (f'<defs>{SQUARE}</defs><use href="#r" x="3" y="4"/>', [3, 4, 13, 14]),
        (f'<defs>{SQUARE}</defs><use xlink:href="#r" transform="scale(2)" x="3"/>', [6, 0, 26, 20]),
        (
            f'<defs><g id="g" transform="translate(1,1)">{SQUARE}</g></defs><use href="#g"/>',
            [1, 1, 11, 11],
        ),
        (
            f'<defs>{SQUARE}<use id="u" href="#r" x="5"/></defs><use href="#u" y="7"/>',
            [5, 7, 15, 17],
        ),
        (
            f'<defs>{SYMBOL}</defs><use href="#s" x="2" y="3" width="40" height="40"/>',
            [2, 3, 42, 43],
        ),
        (
            '<svg x="10" y="20" width="30" height="30" viewBox="0 0 10 10">'
            '<rect width="10" height="10"/></svg>',
            [10, 20, 40, 50],
        ),
        (
            '<svg x="10" width="40" height="20" viewBox="0 0 10 10">'
            '<rect width="10" height="10"/></svg>',
            [20, 0, 40, 20],
        ),
        (f"<switch>{SQUARE}<circle r='3'/></switch>", [0, 0, 10, 10]),
        (
            "<switch><foreignObject/><circle r='3' requiredExtensions='x'/>"
            f"<circle r='3' systemLanguage='de'/>{SQUARE}</switch>",
            [0, 0, 10, 10],
        ),
        (f'<defs>{SQUARE}</defs><use href="#r" x="10%" y="20%"/>', [10, 20, 20, 30]),
        (
            '<defs><symbol id="s" transform="translate(10,0)"><rect width="8" height="8"/></symbol>'
            '</defs><use href="#s" x="50"/>',
            [60, 0, 68, 8],
        ),
        (
            '<defs><svg id="n" x="30" y="20%"><rect width="9" height="9"/></svg></defs>'
            '<use href="#n" x="20"/>',
            [50, 20, 59, 29],
        ),
        (f"<a>{SQUARE}</a>", [0, 0, 10, 10]),
    ],
)
def test_places_on_the_page(content: str, expected: list[float]) -> None:
    assert bounds_of(content) == [expected]


@pytest.mark.parametrize(
    ("size", "side"),
    [
        ('width="100mm" height="100mm" viewBox="0 0 100 100"', 10),
        ('width="100mm" height="100mm" viewBox="0 0 200 200"', 5),
        ('width="10in" height="10in" viewBox="0 0 960 960"', 10 * 25.4 / 96),
        ('width="960" height="960"', 10 * 25.4 / 96),
        ('width="720pt" height="720pt" viewBox="0 0 720 720"', 10 * 25.4 / 72),
        ('viewBox="0 0 960 960"', 10 * 25.4 / 96),
        ('width="100mm" height="50mm" viewBox="0 0 100 100"', 5),
    ],
)
def test_true_size_whatever_the_units(size: str, side: float) -> None:
    left, top, right, bottom = bounds_of(SQUARE, size)[0]
    assert (right - left, bottom - top) == pytest.approx((side, side), abs=0.002)


def test_what_is_not_drawn_is_not_found() -> None:
    hidden = "".join(
        f"<{tag}>{SQUARE}</{tag}>"
        for tag in ("defs", "symbol", "clipPath", "mask", "marker", "pattern")
    )
    assert bounds_of(hidden) == []
    assert bounds_of('<g ap:role="stitching"><path d="M0 0h9v9z"/></g>') == []
    assert bounds_of('<use href="#gone"/>') == []


def test_a_clone_of_itself_ends() -> None:
    assert bounds_of('<use id="a" href="#b"/><g id="b"><use href="#a"/></g>') == []


def test_clones_of_clones_do_not_draw_for_ever() -> None:
    layers = ['<g id="g0"><rect width="1" height="1"/></g>']
    layers += [f'<g id="g{k}">{f"""<use href="#g{k - 1}"/>""" * 10}</g>' for k in range(1, 9)]
    root = drawing(f'<defs>{"".join(layers)}</defs><use href="#g8"/>')
    with pytest.raises(InputError, match=str(MOST_SHAPES)):
        sum(1 for _ in drawn(root))


def test_clones_of_empty_groups_do_not_walk_for_ever() -> None:
    layers = ['<g id="g0"/>']
    layers += [f'<g id="g{k}">{f"""<use href="#g{k - 1}"/>""" * 10}</g>' for k in range(1, 12)]
    with pytest.raises(InputError, match=str(MOST_SHAPES)):
        list(drawn(drawing(f'<defs>{"".join(layers)}</defs><use href="#g11"/>')))


def test_what_a_symbol_says_of_its_look_holds_for_its_shapes() -> None:
    (item,) = drawn(drawing(f'<symbol id="s" fill="teal">{SQUARE}</symbol><use href="#s"/>'))
    assert item.look.fill == "#008080"


def test_a_clone_that_shows_nothing_and_a_tagged_group_are_noticed() -> None:
    found = drawn(drawing(f'<use href="#gone"/><g ap:piece="7">{SQUARE}</g>'))
    assert [item.kind for item in found] == ["broken clone", "group", "shape"]


def test_a_length_without_a_size_is_a_fault() -> None:
    (item,) = drawn(drawing(f'<defs>{SQUARE}</defs><use href="#r" x="3em"/>'))
    assert "its x has the unit 'em'" in item.fault


def test_very_deep_groups_are_walked() -> None:
    root = drawing("")
    inner = root
    for _ in range(3000):
        inner = etree.SubElement(inner, svg("g"))
    inner.append(drawing(SQUARE)[0])
    assert len(list(drawn(root))) == 1


def test_the_outermost_clone_owns_what_it_shows_and_its_tags_win() -> None:
    root = drawing(
        '<defs><path id="p" ap:piece="17" ap:fabric="sand" d="M0 0h9v9z"/></defs>'
        '<use id="u" href="#p" ap:piece="17b"/>'
    )
    (item,) = drawn(root)
    assert item.owner.get("id") == "u"
    assert dict(item.tags) == {"piece": "17b", "fabric": "sand"}


def test_a_bad_transform_is_a_fault_of_its_element_alone() -> None:
    good, bad = drawn(drawing(f'{SQUARE}<rect width="1" height="1" transform="turn(3)"/>'))
    assert good.fault == ""
    assert "turn(3)" in bad.fault
    assert np.isfinite(bad.matrix).all()
