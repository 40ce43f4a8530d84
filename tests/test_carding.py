"""The card of a document: order, pauses, sizes and templates, from layers or without."""

import copy

import pytest
from lxml import etree

from applique.carding import card_of
from applique.errors import InputError
from applique.files import read_svg
from applique.paper.content import Card
from applique.pipeline import make_layers
from applique.svg import vocabulary as v
from applique.svg.read import Request
from tests.shapes import drawing

SEA = '<rect id="sea" fill="#2f6f8f" x="10" y="10" width="40" height="30" ap:piece="1"/>'
ROCK = '<circle id="rock" fill="#7d7f80" cx="45" cy="30" r="14" ap:piece="11" ap:template="Rock"/>'
SUN = (
    '<circle id="sun" fill="#f4cf5e" cx="80" cy="80" r="10" ap:piece="2" ap:method="cut-in-hoop" '
    'ap:template-version="3" ap:template="Disc"/>'
)


def made(content: str, **settings: str) -> tuple[etree._Element, Card]:
    root = drawing(content)
    make_layers(root, Request(settings={n.replace("_", "-"): s for n, s in settings.items()}))
    return root, card_of(root)[0]


def test_a_drawing_without_layers_stays_as_it_is() -> None:
    root = drawing(SEA + ROCK)
    before = etree.tostring(root)
    card, findings = card_of(root)
    assert etree.tostring(root) == before
    assert [piece.label for piece in card.pieces] == ["1", "11"]
    assert [pause.laid for pause in card.pauses] == [("1",), ("11",)]
    assert any(found.code == "unmade" and "no layers yet" in found.message for found in findings)


def test_layers_give_the_same_card_as_a_drawing_that_has_none() -> None:
    plain, _ = card_of(drawing(SEA + ROCK))
    _, layered = made(SEA + ROCK)
    assert layered.pauses == plain.pauses
    assert [p.size_mm for p in layered.pieces] == [p.size_mm for p in plain.pieces]


def test_what_is_laid_and_trimmed_at_a_pause() -> None:
    _, card = made(SEA + ROCK + SUN)
    assert [(p.number, p.laid, p.trimmed) for p in card.pauses] == [
        (1, ("1",), ()),
        (2, ("11",), ()),
        (3, ("2",), ()),
        (4, (), ("2",)),
    ]
    assert [(p.label, p.pause, p.turn) for p in card.pieces] == [
        ("1", 1, 1), ("11", 2, 1), ("2", 3, 1),
    ]  # fmt: skip


def test_several_fabrics_at_one_pause_are_numbered() -> None:
    # The way from the lower one up is the shorter: a placement line ends above where it begins.
    low = SEA.replace('y="10"', 'y="60"')
    pond = SEA.replace('"1"', '"2"').replace("sea", "pond")
    _, card = made(low + pond, order="fewest")
    assert [pause.laid for pause in card.pauses] == [("1", "2")]
    assert [(p.label, p.pause, p.turn) for p in card.in_laying_order] == [("1", 1, 1), ("2", 1, 2)]


def test_the_user_s_own_words_are_kept() -> None:
    root, _ = made(SEA)
    group = next(g for g in root.iter(v.svg("g")) if g.get(v.PAUSE))
    group.set(v.PAUSE, f"Iron first. {group.get(v.PAUSE)}")
    card, _ = card_of(root)
    assert card.pauses[0].words == "Iron first."
    assert card.pauses[0].laid == ("1",)


def test_a_pause_without_our_words_still_lays_what_was_placed() -> None:
    root, _ = made(SEA + ROCK)
    first, second = (g for g in root.iter(v.svg("g")) if g.get(v.PAUSE))
    first.set(v.PAUSE, "Now.")
    del second.attrib[v.PAUSE]
    card, findings = card_of(root)
    assert [(p.label, p.pause) for p in card.pieces] == [("1", 1), ("11", 0)]
    assert [f.object for f in findings if f.code == "pause"] == ["11"]


def test_a_pause_for_a_piece_that_is_gone_keeps_its_words() -> None:
    root, _ = made(SEA + ROCK)
    rock = next(e for e in root.iter() if e.get("id") == "rock")
    rock.getparent().remove(rock)
    card, _ = card_of(root)
    assert [pause.laid for pause in card.pauses] == [("1",), ()]
    assert "over the line of 11." in card.pauses[1].words


def test_sizes_are_those_of_the_fabric() -> None:
    """The sea is drawn 40 mm wide; alone it is cut so, under the rock nothing is added outside."""
    _, card = made(SEA)
    assert card.pieces[0].size_mm == pytest.approx((40.0, 30.0))
    assert card.pieces[0].curves
    _, both = made(SEA + ROCK + SUN)
    assert both.pieces[0].shown.area < 40 * 30
    assert [piece.extra_mm for piece in both.pieces] == [0.0, 0.0, 12.7]


def test_templates_are_those_of_the_elements() -> None:
    disc = f'<defs>{SUN.replace("ap:piece", "ap:was")}</defs><use xlink:href="#sun" ap:piece="5"/>'
    _, card = made(ROCK + disc)
    assert [(p.label, p.template, p.template_version) for p in card.pieces] == [
        ("11", "Rock", "1"),
        ("5", "Disc", "3"),
    ]


def test_details_lie_on_the_card_too() -> None:
    eye = '<circle id="eye" fill="#000000" cx="45" cy="30" r="2" ap:detail="spot"/>'
    line = '<path id="smile" stroke="#000000" fill="none" d="M40,36 L50,36" ap:detail="line"/>'
    _, card = made(ROCK + eye + line)
    rock, spot, smile = card.stack
    assert (spot.filled, smile.filled) == (True, False)
    assert smile.width_mm == 1.5
    assert not rock.shown.contains(rock.whole.centroid)


def test_a_drawing_that_has_moved_on_is_told() -> None:
    root, _ = made(SEA)
    next(e for e in root.iter() if e.get("id") == "sea").set("width", "50")
    assert any(found.code == "stale" for found in card_of(root)[1])


def test_a_drawing_without_pieces_is_refused() -> None:
    with pytest.raises(InputError):
        card_of(drawing(""))
    layered, _ = made(SEA)
    broken = copy.deepcopy(layered)
    next(e for e in broken.iter() if e.get("id") == "sea").set(v.ap("edge-width"), "wide")
    with pytest.raises(InputError) as refused:
        card_of(broken)
    assert refused.value.findings


def test_the_samples_have_cards(sample) -> None:
    card, findings = card_of(read_svg(sample).getroot())
    assert len(card.pieces) > 10
    assert all(piece.pause and piece.turn for piece in card.pieces)
    assert sum(len(pause.laid) for pause in card.pauses) == len(card.pieces)
    assert {found.severity for found in findings} == {"note"}


def test_a_piece_that_is_not_true_to_its_template_is_marked() -> None:
    # The sun has a radius of 10 mm; its template one of 20.
    measures = 'ap:template-area="1256.64" ap:template-perimeter="125.66" ap:piece'
    _, card = made(ROCK + SUN.replace("ap:piece", measures))
    assert {piece.label: piece.remark for piece in card.pieces} == {
        "11": "",
        "2": "50% of template",
    }
