"""The line of everything in a TOML text, whatever the order and however it is written."""

import tomllib

import pytest
from hypothesis import given

from applique.quilt.lines import lines_of
from tests.strategies import toml_texts

TEXT = '''# A quilt
name = "x"  # name = 3
a."b c".d = 1
[fabrics]
"sea [blue]" = { colour = "#fff", turn = """half
turn""", notes = [1,
  2, { z = 3 }] }

[[block]]
name = \'\'\'
[[block]]
\'\'\'
[block.settings]
edge = "satin"
[[block]] # another
file = "a.svg"
  [block.settings]
  edge = 1
[quilt]
rows = [
  ["A", "B"],
  # between
  ["C"],
]
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("name",), 2),
        (("a", "b c", "d"), 3),
        (("fabrics", "sea [blue]"), 5),
        (("fabrics", "sea [blue]", "notes"), 6),
        (("fabrics", "sea [blue]", "notes", 2, "z"), 7),
        (("block", 0), 9),
        (("block", 0, "name"), 10),
        (("block", 0, "settings", "edge"), 14),
        (("block", 1), 15),
        (("block", 1, "settings", "edge"), 18),
        (("quilt", "rows", 1), 23),
    ],
)
def test_the_line_of_each_thing(path: tuple, line: int) -> None:
    assert lines_of(TEXT).of(path) == line


def test_what_is_not_there_has_the_line_of_what_is_around_it() -> None:
    lines = lines_of(TEXT)
    assert lines.of(("block", 1, "name")) == 15
    assert lines.of(("fabrics", "sea [blue]", "grain")) == 5
    assert lines.of(("machine", "format")) == 0


def test_lines_that_end_as_on_windows_count_the_same() -> None:
    assert lines_of(TEXT.replace("\n", "\r\n")).of(("block", 1)) == 15


def thing_at(data: object, path: tuple) -> object:
    for part in path:
        data = data[part]  # type: ignore[index]
    return data


@given(toml_texts())
def test_lines_are_found_for_any_order_of_keys(case: tuple) -> None:
    text, where = case
    data, lines = tomllib.loads(text), lines_of(text)
    for path, line in where.items():
        thing_at(data, path)  # The standard reader finds it there too.
        assert lines.of(path) == line


@pytest.mark.parametrize("text", ["= = =", "[[", '"""', "a = [1, {", "]", "a = {b", "\x00"])
def test_text_that_is_no_toml_is_gone_through_all_the_same(text: str) -> None:
    lines_of(text)
