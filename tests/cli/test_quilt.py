"""`applique quilt` on what can't be built: a sentence, the other blocks, and exit code 1."""

from __future__ import annotations

import re

import pytest

from tests.cli.quilt_dots import GOOD, PROJECT, Dots, block, drawing, piece

CROSSING = "M5 5 L35 35 L35 5 L5 35 Z"
LAYOUT = 'block = "x"\nlibrary = "set.svg"\nfinished = "30x30"\n'
ROW = '[[piece]]\npiece = "1"\nfabric = "leaf"\nx = 9\ny = 9\n'


def test_a_good_quilt_is_built_without_a_word_on_standard_error(dots: Dots) -> None:
    dots.write()
    told = dots.build()
    assert (told.code, told.errors, dots.has_built()) == (0, [], True)
    assert re.search(r"^Dot +built +\d+ ", told.text, re.M)
    assert "Dots: 5 tasks; 5 built, 0 unchanged, 0 failed" in told.text
    assert str(dots.out / "index.html") in told.text
    again = dots.build()
    assert re.search(r"^Dot +unchanged +\d+ ", again.text, re.M)
    assert "Dots: 5 tasks; 0 built, 5 unchanged, 0 failed" in again.text


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (PROJECT + GOOD + 'colour = "red"\n', r"Dot \(line 12\): 'colour' is not known here"),
        (PROJECT + GOOD + "[quilt]\nborder = 3\n", r"line 13\): 'border' is not known here"),
        (
            PROJECT + GOOD + '[quilt]\nbinding = { width = 60, fabric = "lef" }\n',
            r"line 13\): fabric 'lef' is none of \[fabrics\]",
        ),
        (PROJECT + GOOD + '[quilt]\nrows = [["Dit"]]\n', r"line 13\): block 'Dit' is none of"),
        (PROJECT + GOOD + block('"dot!"', "dot.svg"), r"line 14\): .* names of those of 'Dot'"),
        (PROJECT + GOOD + block('"Dot"', "dot.svg"), r"line 14\): .* has this name too"),
        (PROJECT + block('"Dot"', "../dot.svg"), "in the folder of quilt.toml or in one below"),
        (PROJECT + block('"Dot"', "/dot.svg"), "in the folder of quilt.toml or in one below"),
        (PROJECT, r"names no blocks; add a \[\[block\]\]"),
        ("", 'has no name; write name = "..."'),
    ],
)
def test_what_is_wrong_in_the_project_is_told_and_nothing_is_built(
    text: str, said: str, dots: Dots
) -> None:
    dots.write("", project=text)
    told = dots.build()
    assert told.code == 1
    assert any(re.search(said, each) for each in told.errors), told.errors
    assert told.errors[-1].endswith("quilt.toml: can't be used")
    assert not dots.out.exists()


@pytest.mark.parametrize("data", [None, bytes(range(256)), b"name = "], ids=["folder", "x", "y"])
def test_a_project_that_can_not_be_read_is_told(data: bytes | None, dots: Dots) -> None:
    if data is None:
        dots.path.mkdir(parents=True)
    else:
        dots.path.parent.mkdir()
        dots.path.write_bytes(data)
    told = dots.build()
    assert told.code == 1
    assert len(told.errors) == 1
    assert str(dots.path) in told.errors[0]
    assert not dots.out.exists()


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({}, "bad.svg: can't be opened; check its name"),
        ({"bad.svg/x": ""}, "bad.svg: is a folder"),
        ({"bad.svg": ""}, "bad.svg: is no readable SVG"),
        ({"bad.svg": bytes(range(256))}, "bad.svg: is no readable SVG"),
        ({"bad.svg": "<html/>"}, "bad.svg: is no SVG drawing; save it as SVG first"),
        ({"bad.svg": drawing()}, "draw the pieces as closed paths with a fill"),
        ({"bad.svg": drawing(piece("M10 10 H30 V30"))}, "join them with the node tool"),
        ({"bad.svg": drawing(piece(fabric="petal"))}, 'fabric "petal" is defined by nobody'),
    ],
)
def test_a_block_whose_drawing_is_bad_is_told_and_the_others_are_built(
    files: dict[str, str | bytes], said: str, dots: Dots
) -> None:
    dots.write(GOOD + block('"Bad"'), files)
    told = dots.build()
    assert told.code == 1
    assert any(said in each for each in told.errors), told.errors
    assert all(each.startswith("Bad") for each in told.errors), told.errors
    assert dots.has_built()
    assert re.search(r"^Bad +failed", told.text, re.M)
    page = (dots.out / "index.html").read_text(encoding="utf-8")
    assert "bad.svg" in page or "Bad: layers failed" in page
    assert "not built: Bad" in (dots.out / "shopping-list.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({}, "bad.toml: can't be opened; check its name"),
        ({"bad.toml": ""}, "bad.toml: names no library"),
        ({"bad.toml": b"\xff\xfe"}, "bad.toml: is no text in UTF-8; save it anew"),
        ({"bad.toml": "block = "}, "bad.toml: the layout can't be read"),
        ({"bad.toml": LAYOUT + ROW}, "set.svg: can't be opened; check its name"),
        ({"bad.toml": LAYOUT + ROW, "set.svg": "?"}, "set.svg: is no readable SVG"),
        ({"bad.toml": LAYOUT + ROW, "set.svg": drawing()}, "not a library of templates"),
        ({"bad.toml": LAYOUT.replace("set", "../../set") + ROW}, "outside the folder"),
    ],
)
def test_a_block_whose_layout_is_bad_is_told_and_the_others_are_built(
    files: dict[str, str | bytes], said: str, dots: Dots
) -> None:
    dots.write(GOOD + block('"Bad"', "bad.toml", "layout"), files)
    told = dots.build()
    assert told.code == 1
    assert any(said in each for each in told.errors), told.errors
    assert all(each.startswith("Bad") for each in told.errors), told.errors
    assert dots.has_built()


def test_a_piece_that_can_not_be_cut_is_told_with_its_block(dots: Dots) -> None:
    dots.write(GOOD + block('"Bad"'), {"bad.svg": drawing(piece(CROSSING))})
    told = dots.build()
    assert told.code == 1
    assert dots.has_built()
    assert any("Bad" in each and "crosses or touches itself" in each for each in told.errors)


def test_a_block_without_a_finished_size_is_built_and_told(dots: Dots) -> None:
    dots.write(GOOD + block('"Bad"'), {"bad.svg": drawing(piece(), finished="")})
    told = dots.build()
    assert dots.has_built()
    assert (dots.out / "index.html").is_file()
    assert all("Bad" in each for each in told.errors)


def test_a_fault_of_many_blocks_is_told_once(dots: Dots) -> None:
    """The photograph of a cloth is read for every block, and for the index."""
    leaf = '"leaf" = { colour = "#5d7a45", swatch = "leaf.png", swatch-size = "20x20" }'
    project = PROJECT.replace('"leaf" = "#5d7a45"', leaf)
    dots.write(GOOD + block('"Dit"', "dot.svg"), {"leaf.png": b"no picture"}, project)
    told = dots.build()
    assert told.code == 1
    assert len(told.errors) == 1
    assert "leaf.png" in told.errors[0]
    assert dots.has_built("dot")
    assert dots.has_built("dit")
