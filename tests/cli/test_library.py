"""`applique library` and `applique compose` as a user meets them."""

from __future__ import annotations

import json
from pathlib import Path

import pypdfium2
import pytest

from applique.cli.main import main
from applique.files import read_svg
from applique.library.uses import uses_in
from applique.svg import vocabulary as v
from tests.library import shelves

LAYOUT = """
block = "Quay"
finished = "120x120"
library = "set.svg"
[fabrics]
red = "#b2392f"
[[piece]]
piece = "20"
fabric = "red"
x = 40
y = 40
"""


def run(*words: object) -> int:
    try:
        return main([str(word) for word in words])
    except SystemExit as ended:  # argparse ends by itself on wrong usage
        return int(ended.code or 0)


@pytest.fixture
def pieces(tmp_path: Path) -> Path:
    path = tmp_path / "traced" / "pieces.svg"
    path.parent.mkdir()
    path.write_text(shelves.PIECES)
    return path


@pytest.fixture
def library(tmp_path: Path, pieces: Path) -> Path:
    path = tmp_path / "set.svg"
    assert run("library", "add", pieces, "--to", path, "--prefix", "HB", "--title", "Quay") == 0
    return path


@pytest.fixture
def block(tmp_path: Path, library: Path) -> Path:
    (tmp_path / "quay.toml").write_text(LAYOUT)
    assert run("compose", tmp_path / "quay.toml", "-o", tmp_path / "quay.svg") == 0
    return tmp_path / "quay.svg"


def test_adding_tells_what_came_in(
    tmp_path: Path, pieces: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    library = tmp_path / "set.svg"
    assert run("library", "add", pieces, "--to", library, "--prefix", "HB") == 0
    assert "2 new templates, 0 new versions, 0 there already" in capsys.readouterr().out
    before = library.read_bytes()
    assert run("library", "add", pieces, "--to", library, "--prefix", "HB") == 0
    assert "0 new templates, 0 new versions, 2 there already" in capsys.readouterr().out
    assert library.read_bytes() == before


def test_the_list_tells_sizes_and_which_blocks_use_what(
    library: Path, block: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert run("library", "list", library) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[1].split() == ["HB20", "1", "40x12", "harbour.jpg", "quay.svg,", "quay.toml"]
    assert lines[2].split() == ["HB21", "1", "20x34", "harbour.jpg", "-"]
    assert lines[3] == "2 templates, 1 in use"
    assert run("library", "list", library, "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert told["templates"][0]["used_by"] == [
        {"block": "quay.svg", "version": 1},
        {"block": "quay.toml", "version": 1},
    ]


def test_a_block_elsewhere_is_known_where_it_is_named(
    library: Path, block: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    block.rename(elsewhere / "quay.svg")
    (tmp_path / "quay.toml").unlink()
    run("library", "list", library)
    assert "0 in use" in capsys.readouterr().out
    run("library", "list", library, "--blocks", elsewhere)
    assert "1 in use" in capsys.readouterr().out


def test_showing_one_with_a_picture(
    library: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("library", "show", library, "21", "--picture", tmp_path / "21.png") == 0
    assert (tmp_path / "21.png").read_bytes().startswith(b"\x89PNG")
    assert "20x34 mm" in capsys.readouterr().out


def test_a_template_in_use_is_removed_only_by_force(
    library: Path, block: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("library", "remove", library, "20") == 1
    assert "used by quay.svg" in capsys.readouterr().err
    assert run("library", "remove", library, "20", "--force") == 0
    assert run("library", "show", library, "20") == 1


def test_renaming(library: Path, block: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("library", "rename", library, "20", "--to", "30") == 0
    told = capsys.readouterr().out
    assert "HB20 is HB30 now" in told and "quay.svg" in told
    assert run("library", "rename", library, "30", "--to", "a b") == 2


def test_a_merge_with_a_conflict_ends_with_1(
    library: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other.svg"
    changed = tmp_path / "traced" / "changed.svg"
    changed.write_text(shelves.PIECES.replace("L42,52 L18,52", "L50,80 L10,80"))
    run("library", "add", changed, "--to", other, "--prefix", "HB")
    before = library.read_bytes()
    assert run("library", "merge", other, "--into", library) == 1
    assert "1 there already, 1 conflict" in capsys.readouterr().out
    assert library.read_bytes() == before


def test_check_finds_what_is_there_twice(
    library: Path, pieces: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("library", "check", library) == 0
    assert "0 pairs" in capsys.readouterr().out
    run("library", "add", pieces, "--to", library, "--prefix", "TD")
    capsys.readouterr()
    assert run("library", "check", library) == 0
    assert "2 pairs with the same outline" in capsys.readouterr().out


def test_composing_again_keeps_versions_and_refuses_to_lose_edits(
    library: Path, block: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    traced = tmp_path / "traced" / "again.svg"
    traced.write_text(shelves.PIECES.replace("42,52", "42.2,52.1"))
    assert run("library", "add", traced, "--to", library, "--prefix", "HB") == 0
    layout = tmp_path / "quay.toml"
    assert run("compose", layout, "-o", block) == 0
    assert [use.version for use in uses_in(read_svg(block).getroot())] == [1]
    assert "stays at version 1" in capsys.readouterr().err
    assert run("compose", layout, "-o", block, "--newest") == 0
    assert [use.version for use in uses_in(read_svg(block).getroot())] == [2]
    block.write_text(block.read_text().replace('ap:fabric="red"', 'ap:fabric="blue"'))
    assert run("compose", layout, "-o", block) == 1
    assert "was edited since it was composed" in capsys.readouterr().err
    assert run("compose", layout, "-o", block, "--replace-edited") == 0


def test_updating_a_block(
    library: Path, block: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "new.svg"
    assert run("library", "update", block, "--from", library, "-o", out) == 0
    assert "nothing was updated" in capsys.readouterr().out
    traced = tmp_path / "traced" / "again.svg"
    traced.write_text(shelves.PIECES.replace("42,52", "42.2,52.1"))
    run("library", "add", traced, "--to", library, "--prefix", "HB")
    assert run("library", "update", block, "--from", library, "-o", out) == 0
    assert "HB20: version 1 became version 2" in capsys.readouterr().out
    (clone,) = read_svg(out).getroot().iter(v.svg("use"))
    assert clone.get(v.TEMPLATE_VERSION) == "2"


@pytest.mark.parametrize("text", ["", "<svg/>", "[[[", "block = 1"])
def test_what_is_no_library_or_layout_is_refused_in_one_sentence(
    text: str, tmp_path: Path, library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wrong = tmp_path / "wrong"
    wrong.write_text(text)
    capsys.readouterr()
    assert run("library", "list", wrong) == 1
    assert run("library", "list", tmp_path / "nothing.svg") == 1
    assert run("compose", wrong, "-o", tmp_path / "out.svg", "--library", library) == 1
    assert "Traceback" not in capsys.readouterr().err
    assert not (tmp_path / "out.svg").exists()


def test_a_sheet_for_the_binder(
    library: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "binder.pdf"
    assert run("library", "sheet", library, "-o", out, "--paper", "letter") == 0
    assert "2 templates on 1 page" in capsys.readouterr().out
    (page,) = pypdfium2.PdfDocument(out)
    # Letter is 8.5 x 11 in (ANSI/ASME Y14.1), in points of 1/72 in.
    assert page.get_size() == pytest.approx((612, 792), abs=0.01)
    text = page.get_textpage().get_text_range()
    assert "HB20" in text and "HB21" in text and "harbour.jpg" in text
    first = out.read_bytes()
    assert run("library", "sheet", library, "-o", out, "--paper", "letter") == 0
    assert out.read_bytes() == first
    assert run("library", "sheet", library, "-o", out, "--scale", "7") == 2
    assert run("library", "sheet", library, "-o", tmp_path / "binder.png") == 2


def test_a_page_scanned_again_is_recognised(
    library: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    again = tmp_path / "traced" / "again.svg"
    swapped = shelves.PIECES.replace('"20"', '"x"').replace('"21"', '"20"').replace('"x"', '"21"')
    again.write_text(swapped.replace("42,52", "42.2,52.1").replace("80,30 80,44", "80,10 80,44"))
    assert run("library", "add", again, "--to", library, "--prefix", "HB") == 1
    capsys.readouterr()
    assert run("library", "add", again, "--to", library, "--prefix", "HB", "--recognise") == 0
    told = capsys.readouterr()
    assert "note: 21: was recognised as HB20" in told.err
    assert "warning: 20: is no outline that the set has" in told.err
    assert "HB20: a new version; the old one is kept" in told.out


def test_a_library_is_never_written_over_by_anything_else(
    library: Path, block: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = library.read_bytes()
    layout = block.with_suffix(".toml")
    for words in (
        ("library", "update", block, "--from", library, "-o", library),
        ("compose", layout, "-o", library, "--replace-edited"),
        ("layers", block, "-o", library),
        ("import", library, "-o", library, "--width", "100"),
    ):
        assert run(*words) == 1
    assert library.read_bytes() == before
    assert "is a library of templates; give another name" in capsys.readouterr().err


def test_a_renamed_template_is_still_known_to_be_used(
    library: Path, block: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("library", "rename", library, "20", "--to", "HB90") == 0
    assert run("library", "remove", library, "90") == 1
    assert "HB90: is used by quay.svg" in capsys.readouterr().err
    assert run("compose", block.with_suffix(".toml"), "-o", block) == 0


def test_an_update_leaves_another_template_of_the_same_name_alone(
    library: Path, block: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other, traced = tmp_path / "other.svg", tmp_path / "traced" / "other.svg"
    for middle in ("46,60 14,60", "46.2,60.1 14,60"):
        traced.write_text(shelves.PIECES.replace("42,52 L18,52", middle.replace(" ", " L")))
        assert run("library", "add", traced, "--to", other, "--prefix", "HB") == 0
    out = tmp_path / "out.svg"
    assert run("library", "update", block, "--from", other, "-o", out) == 1
    assert "HB20: version 1 of it has another outline in the library" in capsys.readouterr().err


def test_a_set_needs_no_prefix(tmp_path: Path, pieces: Path) -> None:
    assert run("library", "add", pieces, "--to", tmp_path / "plain.svg") == 0
    assert run("library", "show", tmp_path / "plain.svg", "20") == 0


def test_composing_from_another_library_of_the_same_names_is_told(
    library: Path, block: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other, traced = tmp_path / "other.svg", tmp_path / "traced" / "other.svg"
    traced.write_text(shelves.PIECES.replace("42,52 L18,52", "46,60 L14,60"))
    assert run("library", "add", traced, "--to", other, "--prefix", "HB") == 0
    layout = block.with_suffix(".toml")
    assert run("compose", layout, "-o", block, "--library", other) == 0
    assert "HB20: version 1 of it has another outline than" in capsys.readouterr().err


def test_what_a_document_can_not_hold_is_refused_or_replaced(
    tmp_path: Path, pieces: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    set_file = tmp_path / "s.svg"
    assert run("library", "add", pieces, "--to", set_file, "--title", "a\x01") == 2
    assert run("library", "add", pieces, "--to", set_file, "--prefix", "a\x01") == 2
    odd = pieces.rename(pieces.with_name("odd\x01.svg"))
    odd.write_text(shelves.PIECES.replace('inkscape:label="', 'class="'))
    assert run("library", "add", odd, "--to", set_file) == 0
    capsys.readouterr()
    run("library", "list", set_file)
    assert "odd?" in capsys.readouterr().out
