"""Outlines put into a library: new ones, the same again, traced again, and another one."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from lxml import etree

from applique.errors import InputError
from applique.library.adding import add_templates
from applique.library.outlines import outlines_of
from applique.library.pieces import templates_in
from applique.library.shelf import new_library, read_library
from applique.svg import vocabulary as v
from tests import shapes
from tests.library import shelves
from tests.library.shelves import BELT, BOAT, SAIL, SUN, template


def test_a_symbol_has_its_title_and_is_known_inside_and_out() -> None:
    library = shelves.library({"17": BOAT})
    (entry,) = library.entries
    (path,) = entry.element.iter(v.svg("path"))
    assert entry.element.find(v.svg("title")).text == "HB17"
    for element in (entry.element, path):
        assert element.get(v.TEMPLATE) == "HB17"
        assert element.get(v.TEMPLATE_VERSION) == "1"
        assert element.get(v.TEMPLATE_SET) == "HB"
        assert element.get(v.TEMPLATE_SIZE) == "40x12"
        assert element.get(v.TEMPLATE_PAGE) == "page 1"
    assert path.get(v.PIECE) == "17"


def test_an_outline_keeps_its_size_and_lies_at_the_origin() -> None:
    library = shelves.library({"1": BELT})
    (outline,) = outlines_of(library, library.entries).outlines
    assert outline is not None
    # Closed form: pi (R² - r²).
    assert outline.shape.area == pytest.approx(np.pi * (18**2 - 9**2), rel=1e-3)
    assert outline.shape.bounds == pytest.approx((0, 0, 36, 36), abs=0.01)


def test_the_curves_of_a_drawing_come_in_as_they_are() -> None:
    templates, _ = templates_in(etree.fromstring(shelves.PIECES), "drawing")
    assert [(item.number, item.page) for item in templates] == [
        ("20", "harbour.jpg"),
        ("21", "harbour.jpg"),
    ]
    library = new_library("Harbour")
    add_templates(library, templates, "HB")
    path = list(library.root.iter(v.svg("path")))[1]
    assert path.get("d") == "M0,0 C10,10 20,20 20,34 L0,34 Z"


def test_the_same_outline_again_changes_nothing() -> None:
    library = shelves.harbour()
    before = etree.tostring(library.root)
    added = add_templates(library, [template("2", shelves.turned(SAIL, 73))], "HB")
    assert added.unchanged == ("HB2",)
    assert etree.tostring(library.root) == before


def test_a_template_traced_again_becomes_a_new_version_that_lies_as_the_old_one() -> None:
    library = shelves.harbour()
    scanned = shelves.turned(shelves.retraced(SAIL), 40)
    added = add_templates(library, [template("2", scanned, "page 9")], "HB")
    assert added.versions == ("HB2",)
    library = shelves.again(library)
    old, new = library.versions_of("HB2")
    assert library.newest()["HB2"] is new
    assert (new.version, new.page) == (2, "page 9")
    assert old.element.find(v.svg("title")).text == "HB2 (version 1, replaced)"
    assert new.element.find(v.svg("title")).text == "HB2"
    first, second = outlines_of(library, [old, new]).outlines
    assert first is not None and second is not None
    assert shapely.hausdorff_distance(first.shape, second.shape) < 0.35


def test_an_older_version_again_changes_nothing() -> None:
    library = shelves.harbour()
    add_templates(library, [template("2", shelves.retraced(SAIL))], "HB")
    library = shelves.again(library)
    added = add_templates(library, [template("2", SAIL)], "HB")
    assert (added.versions, added.unchanged) == ((), ("HB2",))


def test_a_template_traced_from_its_other_side_is_turned_over_and_told() -> None:
    scanned = shelves.turned(shelves.retraced(shapes.polygon(ELL_WITH_A_STEP)), 10, mirrored=True)
    library = shelves.library({"1": shapes.polygon(ELL_WITH_A_STEP)})
    added = add_templates(library, [template("1", scanned)], "HB")
    assert [finding.code for finding in added.findings] == ["turned-over"]


ELL_WITH_A_STEP = [(0, 0), (40, 0), (40, 10), (16, 10), (16, 30), (10, 30), (10, 22), (0, 22)]


def test_another_outline_under_a_known_number_is_refused_and_nothing_is_changed() -> None:
    library = shelves.harbour()
    before = etree.tostring(library.root)
    with pytest.raises(InputError) as refusal:
        add_templates(library, [template("9", SUN), template("2", BOAT)], "HB")
    assert [finding.object for finding in refusal.value.findings if finding.code == "conflict"] == [
        "HB2"
    ]
    assert etree.tostring(library.root) == before


def test_a_conflict_tells_under_which_number_the_outline_is_known() -> None:
    library = shelves.harbour()
    with pytest.raises(InputError) as refusal:
        add_templates(library, [template("3", shelves.turned(BOAT, 30))], "HB")
    (finding,) = refusal.value.findings
    assert "it is that of HB1, turned by 30°" in finding.message


def test_another_outline_is_a_new_version_if_that_is_forced() -> None:
    library = shelves.harbour()
    added = add_templates(library, [template("2", BOAT)], "HB", force=True)
    assert added.versions == ("HB2",)
    assert [entry.version for entry in shelves.again(library).versions_of("HB2")] == [1, 2]


def test_a_known_outline_under_a_new_number_is_told() -> None:
    library = shelves.harbour()
    twin = shelves.turned(shelves.retraced(SAIL), 30)
    added = add_templates(library, [template("8", twin)], "HB")
    (finding,) = added.findings
    assert added.new == ("HB8",)
    assert finding.object == "HB8" and "HB2, turned by 30°" in finding.message


def test_a_number_twice_in_one_drawing_is_refused() -> None:
    with pytest.raises(InputError) as refusal:
        add_templates(new_library("x"), [template("2", BOAT), template("2", SUN)], "")
    assert refusal.value.findings[0].code == "doubled"


def test_a_drawing_without_closed_outlines_adds_nothing() -> None:
    with pytest.raises(InputError):
        templates_in(etree.fromstring('<svg xmlns="http://www.w3.org/2000/svg"/>'), "empty")


def test_a_library_in_px_gets_templates_of_true_size() -> None:
    px = '<svg xmlns="http://www.w3.org/2000/svg" width="96" height="96"><defs/></svg>'
    library = read_library(with_a_symbol(etree.fromstring(px)))
    add_templates(library, [template("1", SUN)], "HB")
    library = shelves.again(library)
    entry = library.named("HB1")
    (outline,) = outlines_of(library, [entry]).outlines
    assert outline is not None
    assert outline.shape.area == pytest.approx(np.pi * 12**2, rel=1e-3)


def with_a_symbol(root: etree._Element) -> etree._Element:
    symbol = etree.SubElement(root.find(v.svg("defs")), v.svg("symbol"), id="by-hand")
    etree.SubElement(symbol, v.svg("path"), d="M0 0H96V96H0Z")
    return root
