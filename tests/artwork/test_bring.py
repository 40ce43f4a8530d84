"""Whole artworks to blocks."""

from __future__ import annotations

from typing import Any

import pytest
import shapely
from lxml import etree

from applique.artwork.bring import ImportRequest, import_artwork
from applique.artwork.place import Wanted
from applique.checks import check_document
from applique.errors import InputError
from applique.files import read_svg
from applique.pipeline import make_layers
from applique.svg import vocabulary as v
from applique.svg.read import read_block
from tests.artwork.bringing import brought, choosing, codes, pieces, reread, told
from tests.artwork.motifs import HARBOUR, SIZES, SKY, artwork


def test_the_block_goes_through_layers_and_check() -> None:
    for strokes in ("leave", "outline"):
        lines = (
            '<path id="rope" fill="none" stroke="#333" stroke-width="4" d="M20 150q40 40 90 0"/>'
        )
        root = reread(choosing(SKY + HARBOUR + lines, strokes=strokes))
        reading = read_block(root)
        assert [piece.label for piece in reading.block.pieces] == [str(k) for k in range(1, 10)]
        assert [detail.label for detail in reading.block.details] == ["10"]
        layers = make_layers(root)
        assert len(layers.made) == 10
        assert not [f for f in check_document(root) if f.severity == "error"]


def test_numbers_and_fabrics_follow_the_stacking() -> None:
    imported = brought()
    tags = [(path.get(v.PIECE), path.get(v.inkscape("label"))) for path in pieces(imported)]
    names = ["sail", "jib", "hull", "gull", "far-gull", "deck", "brace", "life-ring", "float"]
    assert tags == [(str(k), name) for k, name in enumerate(names, start=1)]
    fabrics = [path.get(v.FABRIC) for path in pieces(imported)]
    assert fabrics[3] == fabrics[4] == "silver"
    described = {f.get("name"): f.get("colour") for f in reread(imported).iter(v.META_FABRIC)}
    assert described["silver"] == "#9aa6b0"
    assert set(fabrics) == set(described)
    assert all(path.get("fill") == described[path.get(v.FABRIC)] for path in pieces(imported))


def test_the_page_holds_nothing_but_the_block() -> None:
    root = reread(brought(SKY + HARBOUR))
    allowed = {"svg", "title", "metadata", "fabric", "rect", "g", "path"}
    assert {etree.QName(element).localname for element in root.iter("*")} == allowed
    assert not [element for element in root.iter("*") if element.get("transform")]


def test_a_ground_that_covers_everything_is_the_background() -> None:
    imported = brought(SKY + HARBOUR)
    root = reread(imported)
    assert root.get(v.ROOT_BACKGROUND) == "light blue"
    assert len(pieces(imported)) == 9
    assert imported.placing.finished_mm == pytest.approx((200, 150))
    assert imported.placing.page_mm == pytest.approx((225.4, 175.4))
    assert "sky: covers the whole artwork" in told(imported, "background")


def test_of_two_grounds_the_upper_one_is_seen() -> None:
    imported = brought(SKY.replace("sky", "paper").replace("#bcd9ea", "#fff") + SKY + HARBOUR)
    assert imported.background is not None
    assert imported.background.colour == "#bcd9ea"
    assert "paper" in told(imported, "hidden-below")


def test_a_single_square_is_a_piece_and_no_background() -> None:
    imported = brought('<rect id="only" width="40" height="40"/>', 100.0)
    assert imported.background is None
    assert imported.placing.finished_mm == pytest.approx((125.4, 125.4))
    assert len(make_layers(reread(imported)).made) == 1


def test_what_covers_a_shape_wholly_is_told_and_nothing_dropped() -> None:
    imported = brought(
        HARBOUR
        + '<circle id="under" cx="200" cy="330" r="10" fill="#123"/>'
        + '<rect id="left" x="180" y="310" width="20" height="40" fill="#456"/>'
        + '<rect id="right" x="200" y="310" width="20" height="40" fill="#789"/>'
    )
    assert "10 (under)" in told(imported, "unseen")
    assert len(pieces(imported)) == 12


def test_near_colours_become_one_fabric_unless_told_apart() -> None:
    two = '<circle id="a" r="9" fill="#2f6f8f"/><circle id="b" cx="20" r="9" fill="#2f7090"/>'
    imported = brought(two)
    assert {path.get(v.FABRIC) for path in pieces(imported)} == {"steel blue"}
    assert "#2f7090" in told(imported, "merged")
    apart = brought(two, merge_delta=0.0)
    assert [path.get(v.FABRIC) for path in pieces(apart)] == ["steel blue", "steel blue 2"]


def test_threads_take_no_name_from_fabrics() -> None:
    line = '<path fill="none" stroke="#2f6f8f" stroke-width="3" d="M0 30h60"/>'
    imported = brought(line + '<circle r="20" fill="#3a7ca0"/>')
    assert [path.get(v.FABRIC) for path in pieces(imported)] == [None, "steel blue"]


@pytest.mark.parametrize(
    "content",
    [
        "",
        '<text x="3" y="9">Harbour</text>',
        '<path fill="none" stroke="#000" d="M0 0h50"/>',
        '<path d="M5 5 L5 5 Z"/>',
        '<circle r="9" fill="none"/>',
        '<circle r="9" style="display:none"/>',
        '<path d="M0 0 L90 0" fill="red"/>',
        '<path d="M0 0 nonsense" fill="red"/>',
    ],
)
def test_an_artwork_without_a_shape_is_refused(content: str) -> None:
    with pytest.raises(InputError, match="no filled shape was found"):
        brought(content)


def test_a_finished_size_holds_and_what_reaches_beyond_is_told() -> None:
    imported = brought(HARBOUR, 279.4, finished_mm=(254.0, 254.0))
    assert reread(imported).get(v.ROOT_FINISHED) == "254x254"
    assert imported.placing.page_mm == pytest.approx((279.4, 279.4))
    assert "12.7 mm beyond" in told(imported, "beyond")


def test_samples_come_through_whole(sample: Any) -> None:
    root = read_svg(sample).getroot()
    drawn = read_block(read_svg(sample).getroot()).block
    imported = import_artwork(root, ImportRequest(Wanted(279.4), finished_mm=(254.0, 254.0)))
    assert imported.background is not None
    block = read_block(reread(imported)).block
    assert "tags" in codes(imported)
    # Details of a sample stay details; two small shapes may join them.
    assert len(block.parts) >= len(drawn.parts)
    union = shapely.union_all([piece.outline.shape for piece in block.pieces])
    other = shapely.union_all([piece.outline.shape for piece in drawn.pieces])
    assert union.symmetric_difference(other).area < 0.02 * other.area


def test_the_artwork_itself_stays_as_it_is() -> None:
    root = artwork(SKY + HARBOUR, SIZES["1em"])
    before = etree.tostring(root)
    import_artwork(root, ImportRequest(Wanted(200.0)))
    assert etree.tostring(root) == before
