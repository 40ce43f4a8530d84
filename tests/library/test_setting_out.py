"""Templates set out in a drawing by their numbers, as the editor does it."""

from __future__ import annotations

import pytest
import shapely
from lxml import etree

from applique.library.master import Master
from applique.library.outlines import outlines_of
from applique.library.setting_out import Way, set_out
from applique.svg import vocabulary as v
from applique.svg.read import read_block
from tests.library import shelves

NAMES = (
    'xmlns="http://www.w3.org/2000/svg" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
    'xmlns:sodipodi="http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"'
)
MM = f'<svg {NAMES} width="200mm" height="200mm" viewBox="0 0 200 200"/>'
PX = f'<svg {NAMES} width="756" height="756"/>'
MOVED = (
    f'<svg {NAMES} width="200mm" height="200mm" viewBox="0 0 200 200">'
    '<sodipodi:namedview inkscape:current-layer="here"/>'
    '<g id="other"/><g id="here" transform="translate(30 5) rotate(40) scale(2)"/></svg>'
)


def masters(*words: str) -> list[Master]:
    library = shelves.harbour()
    entries = [library.named(word) for word in words]
    outlines = outlines_of(library, entries).outlines
    return [
        Master(entry.number, entry.set_name, entry.version, outline, entry.page)
        for entry, outline in zip(entries, outlines, strict=True)
        if outline is not None
    ]


@pytest.mark.parametrize("drawing", [MM, PX, MOVED])
def test_templates_have_their_true_size_whatever_the_drawing(drawing: str) -> None:
    root = etree.fromstring(drawing)
    assert set_out(root, masters("1", "3"), Way(turn_degrees=20)) == ("1", "3")
    pieces = read_block(root).block.pieces
    areas = [piece.outline.shape.area for piece in pieces]
    assert areas == pytest.approx([shelves.BOAT.area, shelves.SUN.area], rel=1e-3)


def test_they_lie_in_rows_around_the_middle_of_the_page_and_apart() -> None:
    root = etree.fromstring(MM)
    set_out(root, masters("1", "2", "3", "1", "2", "3", "1"), Way())
    shapes = [piece.outline.shape for piece in read_block(root).block.pieces]
    assert len(shapes) == 7
    for k, shape in enumerate(shapes):
        assert all(shape.distance(other) > 4.9 for other in shapes[:k])
    left, top, right, bottom = shapely.total_bounds(shapes)
    assert (top + bottom) / 2 == pytest.approx(100, abs=0.1)
    assert left >= 0 and right <= 200


def test_they_go_into_the_open_layer() -> None:
    root = etree.fromstring(MOVED)
    set_out(root, masters("1"), Way())
    (clone,) = root.iter(v.svg("use"))
    assert clone.getparent().get("id") == "here"


def test_labels_go_on_from_those_in_the_drawing() -> None:
    root = etree.fromstring(MM)
    assert set_out(root, masters("1", "1"), Way()) == ("1", "1b")
    assert set_out(root, masters("1"), Way(mirrored=True)) == ("1c",)
    ids = [clone.get("id") for clone in root.iter(v.svg("use"))]
    assert len(set(ids)) == 3
