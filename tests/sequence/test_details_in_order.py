"""When details are sewn: after what they lie on, before what lies on them."""

import pytest

from applique.pipeline import Layers, make_layers, refresh_layers
from applique.svg.read import Request
from tests.shapes import drawing

LOW = '<rect id="low" ap:piece="low" ap:fabric="a" fill="#aa0000" width="60" height="60"/>'
LINE = '<path id="line" ap:piece="line" ap:detail="run" stroke="#0000aa" d="M5 30H95"/>'
UP = (
    '<rect id="up" ap:piece="up" ap:fabric="b" fill="#00aa00" x="30" y="10" width="40" '
    'height="40"/>'
)
EYE = '<circle id="eye" ap:piece="eye" ap:detail="spot" fill="#00aa00" cx="50" cy="20" r="2"/>'
FAR = '<path id="far" ap:piece="far" ap:detail="run" stroke="#0000aa" d="M5 90H95"/>'


def made(content: str, **settings: str) -> Layers:
    request = Request(settings={name.replace("_", "-"): value for name, value in settings.items()})
    return make_layers(drawing(content), request)


def order(layers: Layers) -> list[str]:
    return [f"{s.piece} {s.kind}" for s in layers.steps if s.kind != "travel"]


@pytest.mark.parametrize("settings", [{}, {"order": "fewest"}])
def test_a_detail_follows_what_it_lies_on_and_precedes_what_lies_on_it(settings) -> None:
    steps = order(made(LOW + LINE + UP + EYE, **settings))
    line, eye = steps.index("line detail"), steps.index("eye detail")
    assert steps.index("low edge") < line < steps.index("up placement")
    assert steps.index("up edge") < eye


@pytest.mark.parametrize("how", ["piece", "fewest"])
def test_with_edges_last_details_come_between_the_edges(how: str) -> None:
    steps = order(made(LOW + LINE + UP + EYE, order=how, edges="last"))
    line, eye = steps.index("line detail"), steps.index("eye detail")
    assert steps.index("up tack") < steps.index("low edge") < line < steps.index("up edge") < eye


def test_a_detail_needs_no_stop_of_its_own() -> None:
    alone, with_details = made(LOW + UP), made(LOW + LINE + UP + EYE + FAR)
    assert [s.pause for s in alone.steps if s.pause] == [
        s.pause for s in with_details.steps if s.pause
    ]


def test_details_of_one_colour_share_a_block_where_they_can() -> None:
    # The far line waits for nothing, so it is sewn in the block of the other blue one.
    apart = made(LOW + LINE + UP + EYE + FAR, order="fewest").blocks
    assert apart == made(LOW + LINE + UP + EYE, order="fewest").blocks


def test_a_block_may_hold_nothing_but_details() -> None:
    layers = made(FAR + EYE)
    assert order(layers) == ["far detail", "eye detail"]
    assert layers.cut_lines == ()


def test_details_are_not_cut() -> None:
    assert {line.piece for line in made(LOW + LINE + EYE).cut_lines} == {"low"}


def test_an_upper_piece_put_under_a_detail_is_put_in_order() -> None:
    root = drawing(LOW + LINE + UP)
    make_layers(root)
    up = root.xpath("//*[@id='up']")[0]
    root.insert(0, up)
    steps = order(refresh_layers(root))
    assert steps.index("up edge") < steps.index("line detail")
