"""Update, not redo: what a refresh makes anew, what it keeps, what it says."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from lxml import etree

from applique.checks import check_document
from applique.pipeline import Layers, make_layers, refresh_layers
from applique.svg import vocabulary as v
from applique.svg.paths import write_points
from applique.svg.read import Request
from applique.svg.stitchpath import read_stitches
from tests.shapes import drawing

SEA = '<rect id="sea" ap:piece="1" fill="#2f6f8f" x="10" y="10" width="40" height="60"/>'
ROCK = '<rect id="rock" ap:piece="2" fill="#7d7f80" x="40" y="20" width="30" height="30"/>'
MAST = '<rect id="mast" ap:piece="3" fill="#8a6a4a" x="24" y="5" width="12" height="70"/>'


def made(content: str, **settings: Any) -> Any:
    root = drawing(content)
    make_layers(root, Request(settings={n.replace("_", "-"): s for n, s in settings.items()}))
    return root


def element(root: Any, name: str) -> Any:
    (found,) = root.xpath(f"//*[@id='{name}']")
    return found


def groups(root: Any, piece: str = "", kind: str = "") -> list[Any]:
    return [
        group
        for group in root.iter(v.svg("g"))
        if group.get(v.STEP)
        and piece in ("", group.get(v.PIECE))
        and kind in ("", group.get(v.STEP))
    ]


def stitches(root: Any, piece: str, kind: str) -> list[str]:
    return [path.get("d") for group in groups(root, piece, kind) for path in group]


def move_a_stitch(group: Any) -> None:
    path = group[0]
    points = read_stitches(path.get("d"))[0]
    points[len(points) // 2] += 0.3
    path.set("d", write_points(points, 3))


def codes(layers: Layers) -> dict[str, str]:
    return {finding.code: finding.sentence() for finding in layers.findings}


def test_a_refresh_leaves_everything_else_byte_for_byte() -> None:
    root = made(SEA + ROCK + '<rect id="far" ap:piece="9" x="80" y="80" width="15" height="15"/>')
    before = {p: stitches(root, p, "") for p in "129"}
    element(root, "sea").set("height", "62")
    layers = refresh_layers(root)
    assert layers.made == ("1",)
    assert stitches(root, "1", "") != before["1"]
    assert stitches(root, "2", "") == before["2"]
    assert stitches(root, "9", "") == before["9"]


# What a hand edited


def test_an_edited_step_is_named_whether_its_piece_is_stale_or_not() -> None:
    root = made(SEA + ROCK)
    move_a_stitch(groups(root, "2", "edge")[0])
    edited = stitches(root, "2", "edge")
    layers = refresh_layers(root)
    assert layers.made == ()
    assert "the edge step was edited by hand and is kept" in codes(layers)["edited"]
    element(root, "rock").set("height", "31")
    layers = refresh_layers(root)
    assert "2" in layers.made
    assert "edited" in codes(layers)
    assert stitches(root, "2", "edge") == edited


def test_edited_steps_are_replaced_when_asked_for() -> None:
    root = made(SEA + ROCK)
    original = stitches(root, "2", "edge")
    move_a_stitch(groups(root, "2", "edge")[0])
    layers = refresh_layers(root, replace_edited=True)
    assert layers.made == ("2",)
    assert "edited" not in codes(layers)
    assert stitches(root, "2", "edge") == original


def test_all_parts_of_an_edited_step_are_kept() -> None:
    # The mast divides the sea's edge; a covered run leads from one part to the other.
    root = made(SEA + MAST)
    parts = groups(root, "1", "edge")
    assert len(parts) > 1
    move_a_stitch(parts[0])
    before = sorted(stitches(root, "1", "edge"))
    element(root, "sea").set("height", "61")
    refresh_layers(root)
    assert sorted(stitches(root, "1", "edge")) == before
    # And it still counts as edited.
    assert "edited" in codes(refresh_layers(root))


def test_an_edited_step_is_kept_though_its_kind_is_no_longer_made() -> None:
    root = made(SEA)
    move_a_stitch(groups(root, "1", "tack")[0])
    edited = stitches(root, "1", "tack")
    element(root, "sea").set(v.ap("tack"), "none")
    assert refresh_layers(root).made == ("1",)
    assert stitches(root, "1", "tack") == edited
    refresh_layers(root, replace_edited=True)
    assert stitches(root, "1", "tack") == []


def test_a_step_that_the_user_drew_stays_and_is_never_stale() -> None:
    root = made(SEA + ROCK)
    own = etree.fromstring(
        f'<g xmlns="{v.SVG}" xmlns:ap="{v.AP}" ap:step="detail" ap:piece="1" ap:thread="#ffffff">'
        '<path d="M20,20 L22,20 L24,20"/></g>'
    )
    groups(root, "1", "edge")[0].addnext(own)
    assert refresh_layers(root).made == ()
    element(root, "sea").set("height", "62")
    for replace in (False, True):
        refresh_layers(root, replace)
        kinds = [group.get(v.STEP) for group in groups(root, "1")]
        assert kinds == ["placement", "tack", "edge", "detail"]
        assert stitches(root, "1", "detail") == ["M20,20 L22,20 L24,20"]


def test_steps_follow_their_element_to_its_new_label() -> None:
    root = made(SEA + ROCK)
    move_a_stitch(groups(root, "1", "edge")[0])
    edited = stitches(root, "1", "edge")
    element(root, "sea").set(v.PIECE, "7")
    layers = refresh_layers(root)
    assert layers.made == ()
    assert "gone" not in codes(layers)
    assert stitches(root, "7", "edge") == edited
    assert groups(root, "7", "placement")[0].get(v.PAUSE).endswith("over the line of 7.")


def test_steps_follow_their_label_to_its_new_element() -> None:
    root = made(SEA + ROCK)
    element(root, "sea").set("id", "ocean")
    assert refresh_layers(root).made == ()
    assert groups(root, "1", "edge")[0].get(v.SOURCE) == "ocean"


def test_edits_that_go_with_their_piece_are_named() -> None:
    root = made(SEA + ROCK)
    move_a_stitch(groups(root, "2", "edge")[0])
    rock = element(root, "rock")
    rock.getparent().remove(rock)
    layers = refresh_layers(root)
    assert "the edge edited by hand with them" in codes(layers)["gone"]
    root = made(SEA + ROCK)
    move_a_stitch(groups(root, "2", "edge")[0])
    element(root, "rock").addnext(
        etree.fromstring(f'<rect xmlns="{v.SVG}" x="5" y="5" width="80" height="80"/>')
    )
    cover = element(root, "rock").getnext()
    cover.set(v.PIECE, "8")
    make_layers(root, Request(select=("8",))) if cover.get("id") else cover.set("id", "cover")
    layers = make_layers(root, Request(select=("cover",)))
    layers = refresh_layers(root)
    assert "is hidden now; its edge edited by hand went" in codes(layers)["edited"]


def test_a_deleted_step_is_made_again_and_said() -> None:
    root = made(SEA + ROCK)
    tack = groups(root, "1", "tack")[0]
    whole = stitches(root, "1", "tack")
    tack.getparent().remove(tack)
    layers = refresh_layers(root)
    assert layers.made == ("1",)
    assert codes(layers)["missing"] == "1: its tack step was missing and was made again"
    assert stitches(root, "1", "tack") == whole
    assert refresh_layers(root).made == ()


def test_a_kind_that_comes_to_nothing_is_not_missed_for_ever() -> None:
    narrow = '<rect id="s" ap:piece="1" x="10" y="10" width="40" height="3" ap:edge="straight"/>'
    root = made(narrow)
    assert groups(root, "1", "edge") == []
    assert refresh_layers(root).made == ()


# What the user wrote into a pause


@pytest.mark.parametrize("words", ["Wind a new bobbin.", "Lay the batting first.", "Lay it flat"])
def test_the_users_own_words_in_a_pause_stay_and_do_not_pile_up(words: str) -> None:
    root = made(SEA + ROCK)
    placement = groups(root, "1", "placement")[0]
    ours = placement.get(v.PAUSE)
    placement.set(v.PAUSE, f"{words} {ours}")
    edge = groups(root, "2", "edge")[0]
    edge.set(v.PAUSE, words)
    for _ in range(2):
        refresh_layers(root)
        assert groups(root, "1", "placement")[0].get(v.PAUSE) == f"{words} {ours}"
        assert groups(root, "2", "edge")[0].get(v.PAUSE) == words
    # They survive new stitches, and a new order.
    element(root, "sea").set("height", "62")
    make_layers(root)
    assert groups(root, "1", "placement")[0].get(v.PAUSE) == f"{words} {ours}"
    assert groups(root, "2", "edge")[0].get(v.PAUSE) == words


def test_our_sentence_follows_a_renamed_fabric() -> None:
    root = made(SEA)
    element(root, "sea").set(v.FABRIC, "No. 5 blue. Lay nap down")
    for _ in range(2):
        refresh_layers(root)
        pause = groups(root, "1", "placement")[0].get(v.PAUSE)
    element(root, "sea").set(v.FABRIC, "sea blue")
    refresh_layers(root)
    pause = groups(root, "1", "placement")[0].get(v.PAUSE)
    assert pause.endswith("Lay sea blue over the line of 1.")


# Stacking and order


def test_a_piece_without_layers_covers_nothing_yet() -> None:
    root = made(SEA)
    copy = etree.fromstring(ROCK.replace("<rect", f'<rect xmlns="{v.SVG}" xmlns:ap="{v.AP}"'))
    element(root, "sea").addnext(copy)
    layers = refresh_layers(root)
    assert layers.made == ()
    assert "have no layers yet: 2" in codes(layers)["unmade"]
    layers = make_layers(root, Request(select=("rock",)))
    assert layers.made == ("2",)
    assert "no longer fit their stitches: 1" in codes(layers)["stale"]
    assert refresh_layers(root).made == ("1",)


def test_with_edges_last_every_fabric_is_laid_before_what_lies_on_it() -> None:
    root = made(SEA + ROCK, edges="last", tack="none")
    order = [f"{group.get(v.PIECE)} {group.get(v.STEP)}" for group in groups(root)]
    assert order.index("1 placement") < order.index("2 placement")
    assert "over the line of 1." in groups(root, "1", "placement")[0].get(v.PAUSE, "")


def test_a_patch_moved_over_another_piece_remakes_the_order() -> None:
    patched = '<rect id="p" ap:piece="2" x="70" y="70" width="10" height="10" {}/>'
    first = '<rect id="a" ap:piece="1" x="5" y="5" width="20" height="20" {}/>'
    patch = 'ap:method="cut-in-hoop"'
    root = made(patched.format(patch) + first.format(""), order="piece")
    assert [g.get(v.PIECE) for g in groups(root, kind="placement")] == ["2", "1"]
    # Now the piece sewn later lies lower in the drawing, within the patch's margin.
    lower, upper = element(root, "p"), element(root, "a")
    upper.addnext(lower)
    lower.set("x", "30")
    lower.set("y", "10")
    layers = refresh_layers(root)
    assert "sewing order was made anew" in codes(layers)["order"]
    assert [g.get(v.PIECE) for g in groups(root, kind="placement")] == ["1", "2"]


def test_a_step_dragged_before_what_lies_beneath_it_is_told_until_it_is_refreshed() -> None:
    root = made(SEA + ROCK)
    assert "order" not in {finding.code for finding in check_document(root)}
    (edge,), (first, *_) = groups(root, "2", "edge"), groups(root, "1")
    first.addprevious(edge)
    told = [finding.sentence() for finding in check_document(root) if finding.code == "order"]
    assert told == ["2: a step of it is sewn before 1, which lies beneath it; use Refresh Layers"]
    refresh_layers(root)
    assert "order" not in {finding.code for finding in check_document(root)}


def test_a_link_beside_what_a_hand_deleted_leaves_no_float() -> None:
    root = made(SEA + MAST)
    for travel in groups(root, kind="travel"):
        travel.getparent().remove(travel)
    layers = refresh_layers(root)
    ends = [
        (path[-1], step.links[k], following[0])
        for step in layers.steps
        for k, (path, following) in enumerate(zip(step.paths, step.paths[1:], strict=False))
    ]
    assert all(np.hypot(*(b - a)) <= 4.01 for a, link, b in ends if link == "run")
