"""The sewing layer, written and read back: one table of cases for both."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.errors import InputError
from applique.model import Step, Thread
from applique.svg import vocabulary as v
from applique.svg.layers import digits_for
from applique.svg.tagged import read_steps, write_steps
from tests.shapes import drawing
from tests.strategies import runs

SIZES = {
    "mm": 'width="100mm" height="100mm" viewBox="0 0 100 100"',
    "px": 'width="1056" height="1056"',
    "in": 'width="11in" height="11in" viewBox="0 0 11 11"',
    "pt": 'width="792pt" height="792pt" viewBox="0 0 792 792"',
    "shifted": 'width="100mm" height="100mm" viewBox="-20 30 400 400"',
}

RUN = np.array([[10.0, 10.0], [12.5, 10.0], [15.0, 11.234]])
CASES = {
    "plain": Step("edge", "17", Thread("#1f4e79"), (RUN,), ("trim",), source="sea", digest="d1"),
    "several paths": Step(
        "edge", "17", Thread("#1f4e79"), (RUN, RUN + 20), ("run", "trim"), source="s"
    ),
    "named thread": Step("tack", "3b", Thread("#ffffff", "Snow"), (RUN,), ("run",), source="s"),
    "pause": Step(
        "placement",
        "5",
        Thread("#000000"),
        (RUN,),
        ("trim",),
        pause="Lay sand & shells",
        source="s",
    ),
    "travel": Step("travel", "", Thread("#1f4e79"), (RUN[:1],), ("run",)),
    "foreign": Step(
        "edge", "1", Thread("#000000"), (RUN,), ("trim",), source="s", foreign=(("note", "mine"),)
    ),
}


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_steps_read_back_as_written(case: Step, size: str) -> None:
    root = drawing("", size)
    write_steps(root, [case])
    (back,) = read_steps(root).steps
    for name in ("kind", "piece", "thread", "links", "pause", "source", "digest", "foreign"):
        assert getattr(back, name) == getattr(case, name), name
    for written, read in zip(case.paths, back.paths, strict=True):
        assert read == pytest.approx(written, abs=0.001)
    assert not back.edited


@given(st.lists(runs(), min_size=1, max_size=4), st.sampled_from(list(SIZES.values())))
@settings(max_examples=30)
def test_writing_what_was_read_changes_nothing(paths: list[np.ndarray], size: str) -> None:
    root = drawing("", size)
    links = ("trim",) * len(paths)
    write_steps(root, [Step("edge", "1", Thread("#000000"), tuple(paths), links, source="s")])
    first = [element.get("d") for element in root.iter(v.svg("path"))]
    write_steps(root, read_steps(root).steps)
    assert [element.get("d") for element in root.iter(v.svg("path"))] == first
    assert not any(step.edited for step in read_steps(root).steps)


def layer_with(step_content: str, attributes: str = "") -> str:
    return (
        f'<g ap:role="stitching" {attributes}><g ap:step="edge" ap:piece="17" ap:source="s" '
        f'ap:thread="#000000">{step_content}</g></g>'
    )


def test_transforms_on_the_way_are_applied() -> None:
    # An editor leaves transforms on paths, groups and layers when they are dragged.
    path = '<path transform="scale(2)" d="M1,1 L2,1"/>'
    inner = f'<g transform="translate(5,0)">{path}</g>'
    root = drawing(layer_with(inner, 'transform="translate(0,7)"'))
    (step,) = read_steps(root).steps
    assert step.paths[0].tolist() == [[7, 9], [9, 9]]


@pytest.mark.parametrize(
    "change",
    [
        lambda path: path.set("d", path.get("d").replace("12.5,10", "12.6,10")),
        lambda path: path.getparent().set("transform", "translate(0.1,0)"),
        lambda path: path.getparent().getparent().set("transform", "translate(3,0)"),
        lambda path: path.set("d", path.get("d") + " L16,12"),
    ],
)
def test_a_step_moved_by_hand_is_noticed(change) -> None:
    root = drawing("")
    write_steps(root, [CASES["plain"]])
    change(next(root.iter(v.svg("path"))))
    (step,) = read_steps(root).steps
    assert step.edited


def test_an_editor_that_only_rewrites_numbers_edits_nothing() -> None:
    root = drawing("")
    write_steps(root, [CASES["plain"]])
    path = next(root.iter(v.svg("path")))
    path.set("d", "m 10,10 h 2.5 l 2.4999999,1.2340001")
    (step,) = read_steps(root).steps
    assert not step.edited


@pytest.mark.parametrize(
    ("content", "complaint"),
    [
        ('<path d="M0,0 C1,1 2,2 3,3"/>', "17 edge: a stitch is curved"),
        ('<path d="M0,0 L5"/>', "17 edge: its stitches can't be read"),
        ('<path transform="turn(1)" d="M0,0 L5,5"/>', "17 edge: its transform 'turn(1)'"),
        ('<path d="M0,0 L5,99999"/>', "17 edge: a stitch lies 10 m or more from the page"),
        ('<path transform="skewX(90)" d="M0,0 L5,5"/>', "17 edge: a stitch lies 10 m or more"),
    ],
)
def test_what_can_not_be_sewn_names_the_step(content: str, complaint: str) -> None:
    with pytest.raises(InputError) as refused:
        read_steps(drawing(layer_with(content)))
    assert refused.value.findings[0].sentence().startswith(complaint)


def test_a_thread_that_is_no_colour_is_refused() -> None:
    content = layer_with('<path d="M0,0 L5,5"/>').replace("#000000", "sky")
    with pytest.raises(InputError) as refused:
        read_steps(drawing(content))
    assert refused.value.findings[0].sentence() == (
        "17 edge: ap:thread 'sky' is no colour; write it as #rrggbb"
    )


def test_an_unknown_kind_of_step_is_refused() -> None:
    content = '<g ap:role="stitching"><g ap:step="fringe"><path d="M0,0 L1,1"/></g></g>'
    with pytest.raises(InputError) as refused:
        read_steps(drawing(content))
    assert "'fringe' is no step" in refused.value.findings[0].message


def test_hidden_steps_are_sewn_and_reported() -> None:
    hidden = '<g style="display:none"><path d="M0,0 L1,1"/></g>'
    root = drawing(layer_with(hidden, 'style="display:none"'))
    found = read_steps(root)
    assert len(found.steps) == 1
    assert any("hidden" in finding.message for finding in found.findings)


def test_a_step_stays_hidden_until_it_is_shown_again() -> None:
    root = drawing("")
    write_steps(root, [CASES["plain"]])
    group = root[0][0]
    group.set("style", group.get("style") + ";display:none")
    write_steps(root, read_steps(root).steps)
    assert any("17 edge: the step is hidden" in f.sentence() for f in read_steps(root).findings)
    group = root[0][0]
    group.set("style", group.get("style") + ";display:inline")
    write_steps(root, read_steps(root).steps)
    assert read_steps(root).findings == ()


def test_what_the_user_put_into_the_layer_stays_where_it_is_seen() -> None:
    note = '<path id="note" d="M1,1 L2,2"/>'
    root = drawing(layer_with(f'</g><g id="mine">{note}', 'transform="translate(3,0)"'))
    write_steps(root, [CASES["plain"]])
    (layer,) = root
    kept, step = layer
    assert (kept.get("id"), kept.get("transform")) == ("mine", "translate(3,0)")
    assert step.get(v.PIECE) == "17"
    write_steps(root, [])
    assert [child.get("id") for child in layer] == ["mine"]


def test_a_copy_of_the_layer_leaves_nothing_sewn_twice() -> None:
    layer = layer_with('<path d="M1,1 L2,2"/>')
    root = drawing(layer + layer)
    write_steps(root, [CASES["plain"]])
    assert len(read_steps(root).steps) == 1


def test_a_step_within_a_step_is_taken_out_with_it() -> None:
    inner = '<g ap:step="edge" ap:thread="#2f6f8f"><path d="M3,3 L4,4"/></g>'
    root = drawing(layer_with(f'<path d="M1,1 L2,2"/>{inner}'))
    write_steps(root, [CASES["plain"]])
    assert len(read_steps(root).steps) == 1


def test_unknown_attributes_are_kept_and_told() -> None:
    root = drawing(layer_with('<path d="M1,1 L2,2"/>').replace('ap:source="s"', 'ap:beads="7"'))
    found = read_steps(root)
    assert [f.sentence() for f in found.findings] == [
        "17 edge: ap:beads is not known and was left alone"
    ]
    write_steps(root, found.steps)
    assert root[0][0].get(v.ap("beads")) == "7"


def test_decimals_keep_a_thousandth_of_a_millimetre() -> None:
    assert [digits_for(scale) for scale in (1.0, 25.4 / 96, 25.4)] == [3, 3, 5]
    for scale in (1.0, 25.4 / 96, 25.4):
        assert 0.5 * 10.0 ** -digits_for(scale) * scale <= 0.001


def test_the_written_form_is_the_contract() -> None:
    root = drawing("")
    write_steps(root, [CASES["pause"]])
    layer = root[0]
    assert layer.get(v.ROLE) == "stitching"
    (group,) = layer
    assert (group.get(v.STEP), group.get(v.PIECE), group.get(v.SOURCE)) == ("placement", "5", "s")
    assert group.get(v.PAUSE) == "Lay sand & shells"
    (path,) = group
    assert path.get("d") == "M10,10 L12.5,10 L15,11.234"
    assert path.get(v.AFTER) == "trim"
    assert group.get("transform") is None
