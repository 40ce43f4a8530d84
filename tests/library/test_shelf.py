"""Templates looked up, renamed, taken out, merged."""

from __future__ import annotations

import pytest
from lxml import etree

from applique.errors import InputError
from applique.library.adding import add_templates
from applique.library.changing import checked_name, remove_template, rename_template
from applique.library.checking import check_library
from applique.library.merging import merge_library
from applique.svg import vocabulary as v
from tests.library import shelves
from tests.library.shelves import BELT, BOAT, SAIL, SUN, template


def test_a_template_is_found_by_its_number_or_its_whole_name() -> None:
    library = shelves.harbour()
    assert library.named("2").name == library.named("HB2").name == "HB2"


def test_a_number_of_two_sets_must_be_written_with_its_prefix() -> None:
    library = shelves.harbour()
    add_templates(library, [template("2", BELT)], "TD")
    library = shelves.again(library)
    with pytest.raises(InputError, match="HB2 or TD2"):
        library.named("2")
    assert library.named("TD2").set_name == "TD"


def test_an_unknown_number_or_version_is_refused() -> None:
    with pytest.raises(InputError, match="no such template"):
        shelves.harbour().named("44")
    with pytest.raises(InputError, match="no version 7"):
        shelves.harbour().named("2", 7)


def test_renaming_takes_all_versions_along() -> None:
    library = shelves.harbour()
    add_templates(library, [template("2", shelves.retraced(SAIL))], "HB")
    library = shelves.again(library)
    assert rename_template(library, "2", "12") == "HB12"
    library = shelves.again(library)
    assert [entry.version for entry in library.versions_of("HB12")] == [1, 2]
    assert "HB2" not in library.newest()
    pieces = [path.get(v.PIECE) for path in library.root.iter(v.svg("path"))]
    assert pieces == ["1", "12", "3", "12"]
    assert library.named("12").element.find(v.svg("title")).text == "HB12"


def test_a_name_that_is_taken_or_can_not_be_is_refused() -> None:
    with pytest.raises(InputError, match="already"):
        rename_template(shelves.harbour(), "2", "3")
    for text in ("", "a b", "a,b", "x" * 41):
        with pytest.raises(InputError):
            checked_name(text)


def test_removing_leaves_the_rest_as_it_was() -> None:
    library = shelves.harbour()
    others = {
        e.name: etree.tostring(e.element, with_tail=False)
        for e in library.entries
        if e.name != "HB2"
    }
    remove_template(library, "2")
    after = shelves.again(library)
    assert {e.name: etree.tostring(e.element, with_tail=False) for e in after.entries} == others


def test_merging_brings_in_what_is_new_and_keeps_what_is_there() -> None:
    library = shelves.harbour()
    other = shelves.library({"1": BOAT, "9": BELT})
    merged = merge_library(library, other)
    assert (merged.added, merged.unchanged, merged.findings) == (("HB9",), 1, ())
    assert list(shelves.again(library).newest()) == ["HB1", "HB2", "HB3", "HB9"]


def test_merging_another_outline_under_the_same_name_is_a_conflict_and_stays_out() -> None:
    library = shelves.harbour()
    before = etree.tostring(library.root)
    merged = merge_library(library, shelves.library({"2": SUN}))
    assert [(finding.code, finding.object) for finding in merged.findings] == [("conflict", "HB2")]
    assert etree.tostring(library.root) == before


def test_check_finds_a_template_that_is_there_twice_whatever_it_is_called() -> None:
    library = shelves.library({"1": BOAT, "2": SAIL, "3": shelves.turned(BOAT, 90, mirrored=True)})
    same = [f for f in check_library(library) if f.code == "same-shape"]
    assert [(finding.object, "HB1" in finding.message) for finding in same] == [("HB3", True)]
