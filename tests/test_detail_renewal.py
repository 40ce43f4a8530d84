"""Details are renewed, kept and reported as the steps of pieces are."""

from typing import Any

import pytest

from applique.checks import check_document
from applique.pipeline import Layers, make_layers, refresh_layers
from applique.svg import vocabulary as v
from tests.shapes import drawing

SEA = '<rect id="sea" ap:piece="1" fill="#2f6f8f" x="10" y="10" width="60" height="60"/>'
SMILE = '<path id="smile" ap:piece="2" ap:detail="run" stroke="#c23b34" d="M20 30 q10 9 20 0"/>'
EYE = '<circle id="eye" ap:piece="3" ap:detail="spot" fill="#222" cx="20" cy="20" r="2"/>'


@pytest.fixture
def root() -> Any:
    document = drawing(SEA + SMILE + EYE)
    make_layers(document)
    return document


def element(root: Any, name: str) -> Any:
    (found,) = root.xpath(f"//*[@id='{name}']")
    return found


def step(root: Any, piece: str) -> Any:
    (found,) = [g for g in root.iter(v.svg("g")) if g.get(v.STEP) and g.get(v.PIECE) == piece]
    return found


def codes(root: Any) -> set[tuple[str, str]]:
    return {(f.code, f.object) for f in check_document(root) if f.severity == "warning"}


def test_what_is_made_has_nothing_to_complain_of(root) -> None:
    assert codes(root) == set()
    assert refresh_layers(root).made == ()


@pytest.mark.parametrize(
    ("name", "attribute", "value", "label"),
    [
        ("smile", "d", "M20 30 q10 5 20 0", "2"),
        ("smile", "stroke", "#00ff00", "2"),
        ("smile", v.DETAIL, "there-and-back", "2"),
        ("smile", v.ap("detail-length"), "2", "2"),
        ("eye", "r", "2.5", "3"),
        ("eye", "fill", "#ffffff", "3"),
        ("eye", v.ap("pull-compensation"), "0.3", "3"),
    ],
)
def test_a_changed_detail_is_stale_and_made_anew(
    root, name: str, attribute: str, value: str, label: str
) -> None:
    element(root, name).set(attribute, value)
    assert ("stale", label) in codes(root)
    assert refresh_layers(root).made == (label,)
    assert codes(root) == set()


def test_a_setting_of_edges_makes_no_detail_stale(root) -> None:
    element(root, "eye").set(v.ap("edge-width"), "2")
    assert codes(root) == set()


def test_a_piece_put_over_a_line_makes_it_stale(root) -> None:
    rock = '<rect id="rock" ap:piece="9" ap:fabric="g" x="30" y="25" width="30" height="30"/>'
    root.insert(3, drawing(rock)[0])
    layers = make_layers(root)
    assert "2" in layers.made
    xs = [float(pair.split(",")[0]) for pair in step(root, "2")[0].get("d")[1:].split(" L")]
    assert max(xs) == pytest.approx(31, abs=0.2)


def test_a_detail_edited_by_hand_is_kept(root) -> None:
    path = step(root, "2")[0]
    path.set("d", path.get("d") + " L50,50")
    assert any(f.code == "edited" for f in check_document(root))
    element(root, "smile").set("d", "M20 30 q10 5 20 0")
    layers = refresh_layers(root)
    assert step(root, "2")[0].get("d").endswith("L50,50")
    assert any(f.code == "edited" for f in layers.findings)


def test_a_missing_detail_is_made_again(root) -> None:
    root_step = step(root, "3")
    root_step.getparent().remove(root_step)
    # Without any step it counts as not made yet.
    assert ("unmade", "3") in codes(root)
    assert make_layers(root).made == ("1", "2", "3")
    assert codes(root) == set()


def test_a_detail_gone_from_the_drawing_loses_its_step(root) -> None:
    root.remove(element(root, "eye"))
    layers: Layers = refresh_layers(root)
    assert {s.piece for s in layers.steps} == {"1", "2"}
    assert any(f.code == "gone" and f.object == "3" for f in layers.findings)


def test_a_hidden_detail_is_reported_and_not_sewn(root) -> None:
    rock = '<rect id="rock" ap:piece="9" ap:fabric="g" x="15" y="15" width="30" height="30"/>'
    root.insert(4, drawing(rock)[0])
    layers = make_layers(root)
    assert {f.object for f in layers.findings if f.code == "hidden"} == {"2", "3"}
    assert {s.piece for s in layers.steps} == {"1", "9"}


def test_a_piece_that_becomes_a_detail_leaves_no_steps_behind(root) -> None:
    berry = '<circle id="berry" ap:piece="4" ap:fabric="r" fill="#a00" cx="50" cy="50" r="3.2"/>'
    root.insert(4, drawing(berry)[0])
    make_layers(root)
    element(root, "berry").set(v.DETAIL, "spot")
    layers = refresh_layers(root)
    assert {s.kind for s in layers.steps if s.piece == "4"} == {"detail"}
    assert "4" not in {line.piece for line in layers.cut_lines}
