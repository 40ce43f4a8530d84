"""A cut file, read with nothing but an XML parser and svgelements."""

import re

import numpy as np
import pytest
import svgelements
from lxml import etree

from applique.cutting.sheet import sheet_of
from applique.export.cutfile import cut_file
from applique.geometry.curves import polyline
from applique.model import CutLine
from applique.svg import vocabulary as v
from applique.svg.paths import parse_path

TRIANGLE = polyline(np.array([[0.0, 0], [50, 0], [0, 20]]), closed=True)
RINGS = tuple(parse_path("M40 40 C40 50 50 60 60 60 L60 40 Z M50 45 L55 45 L55 50 Z"))
LINES = [
    CutLine("17", "sea blue", "outline", (TRIANGLE,)),
    CutLine("3", "sea blue", "allowance", RINGS, grain_degrees=0.0),
    CutLine("3", "sea blue", "template", RINGS),
]


def parsed(face: str = "wrong") -> etree._Element:
    return etree.fromstring(cut_file(sheet_of("sea blue", LINES, face)))  # type: ignore[arg-type]


def test_true_size_in_millimetres() -> None:
    root = parsed()
    width, height = (root.get(name) for name in ("width", "height"))
    assert root.get("viewBox") == f"0 0 {width[:-2]} {height[:-2]}"
    assert width.endswith("mm")
    assert root.get(v.SHEET) == "sea blue"


def test_one_untransformed_path_a_piece_with_all_its_rings() -> None:
    root = parsed()
    marked = [element for element in root.iter("*") if element.get(v.PIECE) is not None]
    assert {(e.get(v.PIECE), e.get(v.CUT)) for e in marked} == {
        ("17", "outline"),
        ("3", "allowance"),
        ("3", "template"),
    }
    assert all(element.get("transform") is None for element in root.iter("*"))
    assert [e.get("d").count("M") for e in marked if e.get(v.CUT) == "allowance"] == [2]


def test_marks_stand_in_groups_of_their_own() -> None:
    groups = {group.get("id"): group for group in parsed().iter(v.svg("g"))}
    assert set(groups) == {"cut", "templates", "drawing", "test-square"}
    for name in ("drawing", "test-square"):
        assert all(path.get(v.PIECE) is None for path in groups[name])


def test_the_test_square_is_one_inch() -> None:
    (square,) = next(g for g in parsed().iter(v.svg("g")) if g.get("id") == "test-square")
    box = svgelements.Path(square.get("d")).bbox()
    assert (box[2] - box[0], box[3] - box[1]) == pytest.approx((25.4, 25.4))


@pytest.mark.parametrize(("face", "sign"), [("right", 1), ("wrong", -1)])
def test_the_wrong_side_is_mirrored(face: str, sign: int) -> None:
    (path,) = [e for e in parsed(face).iter("*") if e.get(v.PIECE) == "17"]
    numbers = np.array(re.findall(r"[-\d.]+", path.get("d")), dtype=float).reshape(-1, 2)
    right_angle = numbers[0]
    assert sign * (numbers[1] - right_angle)[0] == pytest.approx(50)
    assert (numbers[2] - right_angle) == pytest.approx([0, 20])


def test_templates_are_mirrored_in_any_case() -> None:
    def first_x(face: str) -> float:
        (path,) = [e for e in parsed(face).iter("*") if e.get(v.CUT) == "template"]
        numbers = np.array(re.findall(r"[-\d.]+", path.get("d")), dtype=float).reshape(-1, 2)
        return numbers[0, 0] - numbers[:, 0].min()

    assert first_x("right") == pytest.approx(first_x("wrong"))


def test_curves_stay_curves() -> None:
    (path,) = [e for e in parsed().iter("*") if e.get(v.CUT) == "allowance"]
    assert "C" in path.get("d")


def test_the_same_sheet_gives_the_same_bytes() -> None:
    sheet = sheet_of("sea blue", LINES, "wrong")
    assert cut_file(sheet) == cut_file(sheet_of("sea blue", LINES, "wrong"))
