"""Blocks composed from layouts: where pieces lie, what they are called, which version they have."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from lxml import etree
from shapely import affinity

from applique.checks import check_document
from applique.errors import InputError
from applique.library.adding import add_templates
from applique.library.compose import compose_block, is_as_composed
from applique.library.layout import read_layout
from applique.library.page import MARGIN_MM
from applique.library.updating import update_block
from applique.library.uses import uses_in
from applique.model import Block
from applique.svg import vocabulary as v
from applique.svg.read import read_block
from tests.library import shelves
from tests.library.shelves import BOAT, SAIL, SUN, template

HEAD = (
    'block = "Quay"\nfinished = "200x150"\nbackground = "sky"\n'
    '[fabrics]\nsky = "#cfe3ea"\nred = "#b2392f"\n'
)


def row(piece: str, x: float = 50, y: float = 60, more: str = "") -> str:
    return f'[[piece]]\npiece = "{piece}"\nfabric = "red"\nx = {x}\ny = {y}\n{more}\n'


def composed(rows: str, library=None, kept=None) -> etree._Element:
    library = library or shelves.harbour()
    result = compose_block(read_layout(HEAD + rows), [library], kept or {})
    return etree.fromstring(etree.tostring(result.tree))


def block_of(root: etree._Element) -> Block:
    return read_block(root).block


def test_the_block_is_framed_and_named() -> None:
    block = block_of(composed(row("1")))
    assert (block.name, block.background) == ("Quay", "sky")
    assert block.frame is not None
    assert (block.frame.width, block.frame.height) == (200, 150)
    assert block.frame.left == pytest.approx(12.7)
    assert [piece.label for piece in block.pieces] == ["1"]


def test_a_piece_lies_turned_and_mirrored_about_the_middle_of_its_box() -> None:
    (piece,) = block_of(composed(row("2", 50, 60, "turn = 30\nmirror = true"))).pieces
    # The same by shapely's own affine functions: y is down, so they turn clockwise too.
    centred = affinity.translate(SAIL, -13, -17)
    mirrored = affinity.scale(centred, -1, 1, origin=(0, 0))
    laid = affinity.rotate(mirrored, 30, origin=(0, 0))
    expected = affinity.translate(laid, 50 + MARGIN_MM, 60 + MARGIN_MM)
    assert shapely.hausdorff_distance(piece.outline.shape, expected) < 0.003


def test_order_is_stacking_and_a_template_again_gets_a_letter() -> None:
    block = block_of(composed(row("1") + row("3") + row("1", 90) + row("1", 130)))
    assert [piece.label for piece in block.pieces] == ["1", "3", "1b", "1c"]
    assert [piece.origin.template for piece in block.pieces] == ["HB1", "HB3", "HB1", "HB1"]


def test_a_label_and_settings_of_its_own() -> None:
    root = composed(row("1", more='label = "bow"\nedge = "blanket"\nthread = "#102030"'))
    (piece,) = block_of(root).pieces
    assert (piece.label, piece.settings.edge, piece.thread.colour) == ("bow", "blanket", "#102030")


def test_a_scaled_piece_is_told_now_and_at_every_check() -> None:
    layout = read_layout(HEAD + row("1", more="scale = 0.8"))
    result = compose_block(layout, [shelves.harbour()], {})
    assert [finding.code for finding in result.findings] == ["not-true"]
    codes = [finding.code for finding in check_document(result.tree.getroot())]
    assert "not-true" in codes


def test_a_turned_and_mirrored_piece_is_true_to_its_template() -> None:
    root = composed(row("2", more="turn = 33\nmirror = true"))
    assert "not-true" not in [finding.code for finding in check_document(root)]


def test_a_stretched_copy_is_not_the_shape_of_its_template() -> None:
    root = composed(row("2"))
    (clone,) = root.iter(v.svg("use"))
    clone.set("transform", f"{clone.get('transform')} scale(1.25 0.8)")
    (told,) = [finding for finding in check_document(root) if finding.code == "not-true"]
    assert "not the shape of template HB2" in told.message


def test_what_is_missing_is_told_at_once() -> None:
    layout = read_layout(HEAD + row("77") + row("1") + row("78"))
    with pytest.raises(InputError) as refusal:
        compose_block(layout, [shelves.harbour()], {})
    assert [finding.object for finding in refusal.value.findings] == ["77 (line 7)", "78 (line 18)"]


def test_a_fabric_without_a_colour_is_grey_and_told() -> None:
    layout = read_layout(HEAD.replace('red = "#b2392f"\n', "") + row("1"))
    (finding,) = compose_block(layout, [shelves.harbour()], {}).findings
    assert (finding.code, finding.object) == ("fabric", "red")


def test_the_same_layout_gives_the_same_bytes() -> None:
    rows = row("1") + row("2", more="turn = 12.5")
    assert etree.tostring(composed(rows)) == etree.tostring(composed(rows))


def test_an_edit_by_hand_shows() -> None:
    root = composed(row("1"))
    assert is_as_composed(root)
    next(root.iter(v.svg("use"))).set(v.FABRIC, "green")
    assert not is_as_composed(root)


def with_two_versions():
    library = shelves.harbour()
    add_templates(library, [template("2", shelves.retraced(SAIL), "page 2")], "HB")
    return shelves.again(library)


def test_a_block_keeps_its_version_until_it_is_told_otherwise() -> None:
    library = with_two_versions()
    before = {"HB2": 1}
    for more, kept, version in (
        ("", {}, 2),
        ("", before, 1),
        ("version = 1", {}, 1),
        ("version = 2", before, 2),
    ):
        (use,) = uses_in(composed(row("2", more=more), library, kept))
        assert use.version == version


def test_an_update_takes_the_newest_version_in_the_same_place() -> None:
    library = with_two_versions()
    root = composed(row("2", more="turn = 30") + row("2", 120) + row("1", 90), library, {"HB2": 1})
    before = block_of(root).pieces
    updated = update_block(root, library)
    assert updated.changed == (("HB2", 1, 2),)
    after = block_of(root).pieces
    assert [piece.origin.version for piece in after] == [2, 2, 1]
    for old, new in zip(before, after, strict=True):
        assert shapely.hausdorff_distance(old.outline.shape, new.outline.shape) < 0.35
    symbols = [symbol.get(v.TEMPLATE_VERSION) for symbol in root.iter(v.svg("symbol"))]
    assert symbols == ["1", "2"]


def test_an_unlinked_copy_is_told_and_left() -> None:
    library = with_two_versions()
    root = composed(row("2"), library, {"HB2": 1})
    (clone,) = root.iter(v.svg("use"))
    (path,) = (p for p in root.iter(v.svg("path")))
    copy = etree.SubElement(clone.getparent(), v.svg("g"), transform=clone.get("transform"))
    copy.append(path)
    clone.getparent().remove(clone)
    updated = update_block(root, library)
    assert updated.changed == ()
    assert [finding.code for finding in updated.findings] == ["unlinked"]


def test_templates_of_two_libraries_meet_in_one_block() -> None:
    other = shelves.library({"1": SUN}, prefix="TD")
    layout = read_layout(HEAD + row("HB1") + row("TD1", 120))
    root = compose_block(layout, [shelves.harbour(), other], {}).tree.getroot()
    assert [use.template for use in uses_in(root)] == ["HB1", "TD1"]
    with pytest.raises(InputError) as refusal:
        compose_block(read_layout(HEAD + row("1")), [shelves.harbour(), other], {})
    assert "whole name" in refusal.value.findings[0].message


def test_two_sets_may_use_one_name_for_different_outlines() -> None:
    first = composed(row("1"))
    bigger = shelves.library({"1": affinity.scale(BOAT, 1.5, 1.5)})
    second = composed(row("1"), bigger)
    areas = [block_of(root).pieces[0].outline.shape.area for root in (first, second)]
    assert areas[1] / areas[0] == pytest.approx(2.25, rel=1e-4)
    assert np.isfinite(areas).all()


@pytest.mark.parametrize(
    ("x", "is_short"),
    [(20, False), (19, True), (16, True), (13.5, False)],
    ids=["at the seam line", "1 mm beyond", "4 mm beyond", "at the raw edge"],
)
def test_a_piece_too_short_for_the_seam_is_told_at_every_check(x: float, is_short: bool) -> None:
    # The boat is 40 mm long, its middle at x: it begins x - 20 mm from the seam line.
    codes = [finding.code for finding in check_document(composed(row("1", x)))]
    assert ("short-seam" in codes) is is_short
