"""`applique trace` as a user meets it: what it prints, what it writes, how it ends."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import shapely
from lxml import etree
from PIL import Image

from applique.cli.main import main
from applique.geometry.curves import flatten
from applique.svg import vocabulary as v
from applique.svg.paths import parse_path
from tests import shapes
from tests.trace.drawn import Mark, Page, Scanner, Traced, number, scanned

DPI = 150
Save = Callable[..., Path]


def circle(radius_mm: float, x: float, y: float = 25.0, **gap: object) -> Traced:
    return Traced(shapely.get_coordinates(shapes.circle(radius_mm, x, y))[:-1], **gap)


TWO = (circle(12, 15), circle(9, 45), *number("7", (42, 22)))
GAPPED = (circle(12, 15, gap_mm=1.5, gap_at=(15.0, 12.0)), circle(9, 45))


@pytest.fixture
def saved(tmp_path: Path) -> Save:
    def save(*drawn: Traced | Mark, name: str = "page.png", dpi: float | None = DPI) -> Path:
        picture = Image.fromarray(scanned(Page((60.0, 50.0), drawn), Scanner(DPI)))
        told = {} if dpi is None else {"dpi": (dpi, dpi)}
        picture.save(tmp_path / name, **told)
        return tmp_path / name

    return save


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "pieces.svg"


def run(*words: object) -> int:
    try:
        return main([str(word) for word in words])
    except SystemExit as ended:  # argparse ends by itself on wrong usage
        return int(ended.code or 0)


def outlines(path: Path) -> dict[str, shapely.Polygon]:
    """The outlines in a document, by their labels."""
    found = {}
    for element in etree.parse(str(path)).getroot().iter(v.svg("path")):
        if element.get(v.PIECE) is not None:
            (curve,) = parse_path(element.get("d"))
            found[element.get(v.PIECE)] = shapely.Polygon(flatten(curve, 0.002))
    return found


def radius(outline: shapely.Polygon) -> float:
    return float(np.sqrt(outline.area / np.pi))


def test_outlines_of_a_page(saved, out, capsys):
    assert run("trace", saved(*TWO), "-o", out) == 0
    found = outlines(out)
    assert list(found) == ["1", "2"]
    assert [radius(outline) for outline in found.values()] == pytest.approx([12, 9], abs=0.03)
    told = capsys.readouterr()
    assert told.out == f"{out}: 2 outlines on 1 page\n"
    assert "note: page.png: 2 outlines, 1 at the upper left to 2 at the lower right" in told.err
    assert "note: page.png: the pen is 1.0" in told.err
    assert "note: page.png: left out (1 x number)" in told.err


def test_several_pages_are_numbered_on(saved, out, capsys):
    pages = [saved(*TWO, name="a.png"), saved(circle(15, 30), name="b.tif")]
    assert run("trace", *pages, "-o", out, "--first", 17) == 0
    assert list(outlines(out)) == ["17", "18", "19"]
    assert "3 outlines on 2 pages" in capsys.readouterr().out


def test_numbers_given_outright(saved, out):
    assert run("trace", saved(*TWO), "-o", out, "--numbers", "A1, B7") == 0
    assert list(outlines(out)) == ["A1", "B7"]


def test_list_of_what_to_look_at(saved, out, capsys):
    assert run("trace", saved(*GAPPED), "-o", out) == 0
    told = capsys.readouterr()
    first, second = told.out.splitlines()
    assert first.startswith("look at 1: a gap of 1.")
    assert first.endswith(" mm at its top was closed")
    assert second == f"{out}: 2 outlines on 1 page"
    assert "gap" not in told.err


def test_report(saved, out, tmp_path):
    report = tmp_path / "r.json"
    assert run("trace", saved(*GAPPED), "-o", out, "--report", report) == 0
    told = json.loads(report.read_text(encoding="utf-8"))
    assert told["ink_edge"] == "near"
    (page,) = told["pages"]
    assert page["mm_per_px"] == pytest.approx(25.4 / DPI, rel=0.0001)
    assert [template["flags"] for template in page["templates"]] == [["gap"], []]
    assert {finding["code"] for finding in told["findings"]} >= {"gap", "pen", "order"}


def test_marks_are_kept_as_lines(saved, out):
    page = saved(circle(20, 30), Mark(np.array([(20.0, 32.0), (40.0, 32.0)]), 1.0))
    assert run("trace", page, "-o", out, "--keep-marks") == 0
    paths = list(etree.parse(str(out)).getroot().iter(v.svg("path")))
    (mark,) = (p for p in paths if p.get(v.inkscape("label")) == "mark on 1")
    (curve,) = parse_path(mark.get("d"))
    assert not curve.closed
    assert mark.get(v.PIECE) is None
    assert flatten(curve)[:, 1] == pytest.approx(32, abs=0.2)


def test_marks_are_left_out_unless_they_are_asked_for(saved, out, capsys):
    page = saved(circle(20, 30), Mark(np.array([(20.0, 32.0), (40.0, 32.0)]), 1.0))
    assert run("trace", page, "-o", out) == 0
    assert "left out (1 x mark)" in capsys.readouterr().err


@pytest.mark.parametrize(("edge", "larger_mm"), [("near", 0.0), ("centre", 0.5), ("far", 1.0)])
def test_edge_of_the_ink(saved, out, edge, larger_mm):
    assert run("trace", saved(circle(15, 30)), "-o", out, "--ink-edge", edge) == 0
    # The pen is 1 mm wide.
    assert radius(outlines(out)["1"]) == pytest.approx(15 + larger_mm, abs=0.03)


def test_known_size_makes_every_outline_smaller(saved, out, capsys):
    # The second is a disc of 18 mm whose pen stood off by 0.2 mm.
    page = saved(circle(12.2, 15), circle(9.2, 45))
    assert run("trace", page, "-o", out, "--known-size", "2=18") == 0
    found = [radius(outline) for outline in outlines(out).values()]
    assert found == pytest.approx([12, 9], abs=0.03)
    told = re.search(r"note: 2: its known size says .* by (0\.\d\d) mm", capsys.readouterr().err)
    assert told is not None
    assert float(told[1]) == pytest.approx(0.2, abs=0.015)


@pytest.mark.parametrize(
    "words",
    [("--dpi", DPI), ("--paper", "60x50")],
    ids=["resolution", "whole sheet"],
)
def test_size_of_a_page_that_does_not_tell(saved, out, words):
    assert run("trace", saved(*TWO, dpi=None), "-o", out, *words) == 0
    assert radius(outlines(out)["1"]) == pytest.approx(12, abs=0.03)


# What can't be done: one sentence, the right exit code, and nothing is written.


def refused(capsys, tmp_path: Path, code: int, *words: object) -> str:
    before = sorted(tmp_path.iterdir())
    assert run("trace", *words) == code
    assert sorted(tmp_path.iterdir()) == before
    told = capsys.readouterr()
    assert told.out == ""
    return told.err.splitlines()[-1]


def test_blank_page(saved, out, tmp_path, capsys):
    report = tmp_path / "r.json"
    told = refused(capsys, tmp_path, 1, saved(), "-o", out, "--report", report)
    assert told.startswith("error: page.png: shows no closed outline of 8 mm or more; trace with a")


def test_page_with_nothing_but_an_open_line(saved, out, tmp_path, capsys):
    page = saved(circle(12, 30, gap_mm=6.0, gap_at=(43.0, 25.0)))
    assert run("trace", page, "-o", out) == 1
    told = capsys.readouterr().err.splitlines()
    assert told[0].startswith("warning: page.png: a line is open: its ends are")
    assert told[-1].startswith("error: page.png: shows no closed outline")
    assert not out.exists()


def test_page_without_a_scale(saved, out, tmp_path, capsys):
    told = refused(capsys, tmp_path, 1, saved(*TWO, dpi=None), "-o", out)
    assert told.startswith("error: page.png: its file does not say how large it is; give --dpi")


def test_file_that_is_not_there(out, tmp_path, capsys):
    told = refused(capsys, tmp_path, 1, tmp_path / "none.png", "-o", out)
    assert told == f"error: {tmp_path / 'none.png'}: can't be opened; check its name"


def test_folder(out, tmp_path, capsys):
    told = refused(capsys, tmp_path, 1, tmp_path, "-o", out)
    assert told == f"error: {tmp_path}: is a folder; give the name of a file"


def test_good_page_beside_one_that_can_not_be_read(saved, out, tmp_path, capsys):
    text = tmp_path / "notes.txt"
    text.write_text("no picture")
    told = refused(capsys, tmp_path, 1, saved(*TWO), text, "-o", out)
    assert told.startswith("error: notes.txt: is no PNG, JPEG, TIFF or PDF picture")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--numbers", "1,2,3"), "3 numbers are given, but 2 templates were found"),
        (("--numbers", "7,7"), "the number 7 is given twice; every template needs its own"),
        (
            ("--known-size", "9=20"),
            "there is no outline 9, whose size is given; check --known-size",
        ),
        (("--numbers", "1,,2"), "it names no number; give them with commas"),
        (("--first", "two"), "'two' is no whole number"),
        (("--first", "-1"), "it must lie between 0 and 99999"),
        (("--paper", "a9"), "'a9' is no paper; give a3, a4, a5, letter"),
        (("--known-size", "9"), "'9' is not of the form NUMBER=WIDTHxHEIGHT"),
        (("--ink-edge", "inner"), "--ink-edge: has no choice 'inner'; give near, centre or far"),
        (("--dpi", "fine"), "--dpi: 'fine' is no number; give one"),
        (("--colour",), "--colour: there is no such flag"),
    ],
)
def test_wrong_words(saved, out, tmp_path, capsys, words, told):
    assert told in refused(capsys, tmp_path, 2, saved(*TWO), "-o", out, *words)


def test_output_is_needed(saved, tmp_path, capsys):
    assert "-o" in refused(capsys, tmp_path, 2, saved(*TWO))
