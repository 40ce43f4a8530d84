"""Libraries made by hand: what can be read is read, the rest is told by name, and nothing that
was there changes when a template is added."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from lxml import etree

from applique.errors import InputError
from applique.files import parse_svg, read_svg, svg_bytes
from applique.library.adding import add_templates
from applique.library.checking import check_library
from applique.library.merging import merge_library
from applique.library.outlines import outlines_of
from applique.library.pieces import templates_in
from applique.library.shelf import Library, new_library, read_library
from applique.svg import vocabulary as v
from tests.conftest import TESTS
from tests.shapes import drawing

SQUARE = '<path d="M0,0 L20,0 L20,20 L0,20 Z"/>'
BESIDE = '<path d="M40,0 L60,0 L60,20 L40,20 Z"/>'
SAIL = f'<symbol id="a"><title>sail</title>{SQUARE}</symbol>'
MM = 'width="100mm" height="100mm" viewBox="0 0 100 100"'


def document(content: str, page: str = MM, before: str = "") -> bytes:
    names = f'xmlns="{v.SVG}" xmlns:xlink="{v.XLINK}" xmlns:ap="{v.AP}"'
    return f"{before}<svg {names} {page}>\n  <defs>{content}\n  </defs>\n</svg>".encode()


def read(data: bytes) -> Library:
    return read_library(parse_svg(io.BytesIO(data), "set.svg").getroot())


def areas(library: Library) -> dict[str, float | None]:
    """The area in mm² of each template that was read, None where it has no outline."""
    outlines = outlines_of(library, library.entries).outlines
    rounded = [None if o is None else round(float(o.shape.area), 2) for o in outlines]
    return {entry.name: area for entry, area in zip(library.entries, rounded, strict=True)}


def told(library: Library) -> set[tuple[str, str]]:
    """What is found, and of whom; but for what holds of all these symbols."""
    found = {(finding.code, finding.object) for finding in check_library(library)}
    return {item for item in found if item[0] not in ("untagged", "same-shape")}


def add_a_template(library: Library, number: str = "7", force: bool = False) -> None:
    page = drawing(f'<path ap:piece="{number}" d="M0 0h10v8h-10z"/>')
    add_templates(library, templates_in(page, "page 1")[0], "", force)


def only_inserted(before: bytes, after: bytes) -> bool:
    """Whether a text became another by one insertion, all else being the same."""
    same = next(k for k, (a, b) in enumerate(zip(before, after, strict=False)) if a != b)
    longer = len(after) - len(before)
    return any(after[k + longer :] == before[k:] for k in range(same, max(0, same - 40), -1))


def without(root: etree._Element, template: str) -> bytes:
    """A library's canonical form without a template and without the blanks between elements."""
    parser = etree.XMLParser(remove_blank_text=True)
    copy = etree.fromstring(etree.tostring(root), parser)
    for symbol in copy.iterfind(f".//{v.svg('symbol')}[@{v.TEMPLATE}='{template}']"):
        symbol.getparent().remove(symbol)
    return etree.tostring(copy, method="c14n")


def check_adding(data: bytes) -> None:
    """Add a template: it is there at true size, and everything else is as it was."""
    library = read(data)
    before, foreign = svg_bytes(library.root.getroottree()), without(library.root, "7")
    add_a_template(library)
    after = svg_bytes(library.root.getroottree())
    assert without(library.root, "7") == foreign
    assert only_inserted(before, after)
    assert areas(read(after))["7"] == 80


HAND_MADE = {
    "no title": (f'<symbol id="a">{SQUARE}</symbol>', {"a": 400}, {("no-title", "a")}),
    "no name at all": (f"<symbol>{SQUARE}</symbol>{SAIL}", {"sail": 400}, {("symbol", "")}),
    "one id twice": (
        SAIL + f'<symbol id="a"><title>jib</title>{SQUARE}</symbol>',
        {"sail": 400, "jib": 400},
        {("doubled-id", "a")},
    ),
    "one name twice": (
        SAIL + f'<symbol id="b"><title>sail</title>{SQUARE}</symbol>',
        {"sail": 400},
        {("doubled", "sail")},
    ),
    "text": (
        '<symbol id="t"><title>words</title><text>port</text></symbol>' + SAIL,
        {"sail": 400},
        {("foreign", "words")},
    ),
    "image": (
        '<symbol id="t"><title>photo</title><image width="3" height="3"/></symbol>' + SAIL,
        {"sail": 400},
        {("foreign", "photo")},
    ),
    "gradient": (
        '<linearGradient id="g"><stop stop-color="red"/></linearGradient>'
        f'<symbol fill="url(#g)"><title>sunset</title>{SQUARE}</symbol>',
        {"sunset": 400},
        set(),
    ),
    "empty": ('<symbol id="e"><title>gap</title></symbol>', {}, {("foreign", "gap")}),
    "viewBox and size": (
        f'<symbol viewBox="0 0 10 10" width="40" height="40"><title>big</title>{SQUARE}</symbol>',
        {"big": 6400},
        set(),
    ),
    "moved within": (
        f'<symbol><title>moved</title><g transform="scale(2)">{SQUARE}</g></symbol>',
        {"moved": 1600},
        set(),
    ),
    "no version": (
        f'<symbol id="b" ap:template="HB3" ap:template-version="two">{SQUARE}</symbol>' + SAIL,
        {"sail": 400},
        {("symbol", "b")},
    ),
    "broken path": (
        '<symbol><title>torn</title><path d="M0,0 L20,0 oops Z"/></symbol>' + SAIL,
        {"torn": None, "sail": 400},
        {("unreadable", "torn")},
    ),
    "open path": (
        '<symbol><title>open</title><path d="M0,0 L20,0 L20,20"/></symbol>',
        {"open": None},
        {("open-path", "open")},
    ),
    "odd letters": (
        f'<symbol><title>Ölstand &lt;&#128055;&gt; "a, b"; c=d</title>{SQUARE}</symbol>',
        {'Ölstand <🐷> "a, b"; c=d': 400},
        set(),
    ),
    "inside each other": (
        f'<symbol id="a"><title>yin</title>{SQUARE}<use xlink:href="#b"/></symbol>'
        f'<symbol id="b"><title>yang</title>{SQUARE}<use xlink:href="#a"/></symbol>',
        {"yin": 400, "yang": 400},
        None,
    ),
    "text beside a shape": (
        f"<symbol><title>both</title>{SQUARE}<text>port</text></symbol>",
        {"both": 400},
        {("text", "both")},
    ),
    "a clip and no shape": (
        f'<symbol><title>cut</title><clipPath id="c">{SQUARE}</clipPath><image/></symbol>' + SAIL,
        {"sail": 400},
        {("foreign", "cut")},
    ),
    "a version without end": (
        f'<symbol id="b" ap:template="3" ap:template-version="{"9" * 5000}">{SQUARE}</symbol>',
        {},
        {("symbol", "b")},
    ),
    "a clone of another symbol": (
        SAIL + f'<symbol id="b"><title>two</title>{BESIDE}<use xlink:href="#a"/></symbol>',
        {"sail": 400, "two": 800},
        set(),
    ),
}


@pytest.mark.parametrize("name", HAND_MADE)
def test_symbols_made_by_hand(name: str) -> None:
    content, read_as, findings = HAND_MADE[name]
    library = read(document(content))
    assert areas(library) == read_as
    assert findings is None or told(library) == findings


@pytest.mark.parametrize("name", HAND_MADE)
def test_adding_changes_nothing_that_was_there(name: str) -> None:
    check_adding(document(HAND_MADE[name][0]))


def test_symbols_in_a_document_in_pixels() -> None:
    data = document(SAIL, 'width="400" height="400"')
    assert areas(read(data)) == {"sail": pytest.approx((20 / 96 * 25.4) ** 2, abs=0.02)}
    check_adding(data)


@pytest.mark.parametrize("attribute", ["library", "version"])
def test_a_library_of_a_newer_version(attribute: str) -> None:
    future = f'<symbol id="f" ap:colourway="b"><title>new</title>{SQUARE}<ap:seam/></symbol>'
    data = document(future, f'{MM} ap:{attribute}="7"')
    assert areas(read(data)) == {"new": 400}
    assert told(read(data)) == {("version", "")}
    check_adding(data)


@pytest.mark.parametrize(
    "content",
    [f"\n\t\t{SAIL}\n\t", f"{SAIL}<!-- the last one -->", f"<?mine?>{SAIL}<g id='b'/>"],
    ids=["tabs", "a comment", "other things"],
)
def test_blanks_and_comments_stay(content: str) -> None:
    check_adding(document(content, before='<?xml-stylesheet href="look.css"?><!-- mine -->'))


def test_a_new_version_changes_of_the_old_one_its_title_alone() -> None:
    data = document(SAIL.replace("sail", "3"))
    library = read(data)
    add_a_template(library, "3", force=True)
    old, new = library.root.iter(v.svg("symbol"))
    assert (old[0].text, new.get(v.TEMPLATE_VERSION)) == ("3 (version 1, replaced)", "2")
    old[0].text = "3"
    assert without(library.root, "3") == without(read(data).root, "3")


def test_an_entity_bomb_is_refused() -> None:
    lines = "".join(f'<!ENTITY e{k + 1} "{f"&e{k};" * 10}">' for k in range(9))
    bomb = f'<!DOCTYPE svg [<!ENTITY e0 "boom">{lines}]>'
    data = document(SAIL.replace("sail", "&e9;"), before=bomb)
    with pytest.raises(InputError, match=r"set\.svg: is no readable SVG"):
        read(data)


def test_an_entity_reads_no_file(tmp_path: Path) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("treasure")
    entity = f'<!DOCTYPE svg [<!ENTITY x SYSTEM "{secret.as_uri()}">]>'
    library = read(document(SAIL.replace("sail", "&x;"), before=entity))
    assert "treasure" not in str(areas(library))


def test_a_block_is_no_library() -> None:
    block = read_svg(TESTS / "golden" / "gull-layers.svg").getroot()
    with pytest.raises(InputError, match="this is a block, not a library of templates"):
        read_library(block)


def test_a_block_composed_by_hand_is_no_library() -> None:
    data = document(SAIL).replace(b"</svg>", b'<use xlink:href="#a" ap:piece="3"/></svg>')
    with pytest.raises(InputError, match="this is a block"):
        read(data)


def test_a_name_that_its_number_and_set_do_not_spell_is_taken_whole() -> None:
    tags = 'ap:template="gull" ap:template-set="HB" ap:template-number="7"'
    other = read(document(f'<symbol id="a" {tags}>{SQUARE}</symbol>'))
    assert [(entry.name, entry.set_name, entry.number) for entry in other.entries] == [
        ("gull", "", "gull")
    ]
    assert merge_library(new_library("Set"), other).added == ("gull",)


def test_a_document_without_symbols_is_no_library() -> None:
    with pytest.raises(InputError, match="it holds no symbols"):
        read(document(SQUARE))


def test_a_library_of_too_many_symbols_is_refused() -> None:
    with pytest.raises(InputError, match="has 5001 symbols; put 5000 at most into one file"):
        read(document("<symbol/>" * 5001))
