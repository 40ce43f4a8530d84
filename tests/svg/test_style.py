import pytest

from applique.svg.style import Look, StyleSheet, colour_hex
from tests.shapes import drawing


def look_of(content: str, element_id: str = "x") -> Look:
    root = drawing(content)
    sheet = StyleSheet(root)
    found = root.find(f".//*[@id='{element_id}']")
    look = Look()
    for element in [*reversed(list(found.iterancestors())), found]:
        look = sheet.look(element, look)
    return look


@pytest.mark.parametrize(
    ("colour", "expected"),
    [
        ("#2F6F8F", "#2f6f8f"),
        ("#abc", "#aabbcc"),
        ("teal", "#008080"),
        ("rgb(255, 0, 128)", "#ff0080"),
        ("hsl(120, 100%, 25%)", "#008000"),
        ("nonsense", None),
        ("#12345g", None),
        ("transparent", None),
        ("currentColor", None),
        ("#-12345", None),
        ("# 12345", None),
        ("rgb(1e400, 0, 0)", "#ff0000"),
        ("lab(50% 20 30)", None),
        ("color()", None),
        pytest.param(f"rgb({'9' * 5000}, 0, 0)", None, id="a channel of 5000 digits"),
        ("#1_2345", None),
    ],
)
def test_colours(colour: str, expected: str | None) -> None:
    assert colour_hex(colour) == expected


@pytest.mark.parametrize(
    ("content", "fill"),
    [
        ('<path id="x"/>', "#000000"),
        ('<path id="x" fill="red"/>', "#ff0000"),
        ('<path id="x" fill="red" style="fill:blue"/>', "#0000ff"),
        ('<g fill="red"><path id="x"/></g>', "#ff0000"),
        ('<g fill="red"><path id="x" fill="none"/></g>', None),
        ('<path id="x" fill="red" fill-opacity="0"/>', None),
        ('<g fill-opacity="0"><path id="x" fill="red"/></g>', None),
        ('<g fill-opacity="0%"><path id="x" fill="red" fill-opacity="0.5"/></g>', "#ff0000"),
        ('<path id="x" fill="NONE"/>', None),
        ('<path id="x" fill="rgba(255, 0, 0, 0)"/>', None),
        ('<path id="x" fill="#ff000000"/>', None),
        ('<path id="x" fill="#ff000080"/>', "#ff0000"),
        ('<g color="teal"><path id="x" fill="currentColor"/></g>', "#008080"),
        ('<g fill="red"><path id="x" fill="inherit"/></g>', "#ff0000"),
        ('<path id="x" style="/* not fill:red; */ FILL: Blue ! important"/>', "#0000ff"),
        ("<style>path{fill:red !important}</style><path id='x' style='fill:blue'/>", "#ff0000"),
        ("<style>@namespace svg url(x); svg|path{fill:red}</style><path id='x'/>", "#ff0000"),
        ("<style>path[q='a|b']{fill:red}</style><path id='x'/>", "#000000"),
        (f"<style>{' '.join(['g'] * 3000)} path{{fill:red}}</style><path id='x'/>", "#000000"),
        pytest.param(
            f"<style>path{{fill:red;{'(' * 1500}</style><path id='x'/>", "#000000", id="brackets"
        ),
        pytest.param(
            f"<style>path{{fill:red;top:{'9' * 5000}}}</style><path id='x'/>",
            "#000000",
            id="digits",
        ),
        ("<style>[id='\\1 ']{fill:red} path{fill:teal}</style><path id='x'/>", "#008080"),
        ("<style>.sea{fill:teal}</style><path id='x' class='deep sea'/>", "#008080"),
        ("<style>#x{fill:teal} path{fill:red}</style><path id='x'/>", "#008080"),
        ("<style>g > path{fill:red}</style><g><path id='x'/></g>", "#ff0000"),
        ("<style>path{fill:red}</style><path id='x' fill='blue'/>", "#ff0000"),
        ("<style>path{fill:red}</style><path id='x' style='fill:blue'/>", "#0000ff"),
        ("<style>@media print{path{fill:red}} p:hover{fill:red}</style><path id='x'/>", "#000000"),
        (
            '<linearGradient id="g"><stop stop-color="#123456"/></linearGradient>'
            '<path id="x" fill="url(#g)"/>',
            "#123456",
        ),
        (
            '<linearGradient id="a"><stop style="stop-color:#654321"/></linearGradient>'
            '<linearGradient id="g" xlink:href="#a"/><path id="x" fill="url(#g)"/>',
            "#654321",
        ),
        ("<pattern id='g'/><path id='x' style='fill:url(\"#g\") red'/>", "#808080"),
        ('<path id="x" fill="url(#gone)"/>', None),
        ('<path id="x" fill="url(#gone) red"/>', "#ff0000"),
        ('<path id="x" fill="url(#gone) none"/>', None),
    ],
)
def test_fills(content: str, fill: str | None) -> None:
    assert look_of(content).fill == fill


@pytest.mark.parametrize(
    ("content", "shown"),
    [
        ('<g style="display:none"><path id="x"/></g>', False),
        ('<g visibility="hidden"><path id="x"/></g>', False),
        ('<g visibility="hidden"><path id="x" visibility="visible"/></g>', True),
        ('<g display="none"><path id="x" visibility="visible"/></g>', False),
        ('<g style="opacity:0"><path id="x" opacity="1"/></g>', False),
    ],
)
def test_shown_or_not(content: str, shown: bool) -> None:
    assert look_of(content).shown is shown


def test_clips_are_noticed_and_fill_rules_inherited() -> None:
    look = look_of('<g fill-rule="evenodd" clip-path="url(#c)"><path id="x"/></g>')
    assert look.clipped
    assert look.fill_rule == "evenodd"
