import numpy as np
import pytest

from applique.errors import InputError
from applique.geometry.curves import polyline
from applique.model import CutLine
from applique.svg import vocabulary as v
from applique.svg.cutlayer import read_cut_lines, write_cut_lines
from applique.svg.paths import parse_path
from tests.shapes import drawing

SQUARE = polyline(np.array([[10.0, 10], [30, 10], [30, 30], [10, 30]]), closed=True)
ARC = parse_path("M40 40 C40 50 50 60 60 60 L60 40 Z")[0]
FLAT = np.array([[10.0, 10], [12.5, 10], [20.25, 10]])
CASES = [
    CutLine("17", "sea blue", "outline", (SQUARE,)),
    CutLine("17b", "sand", "patch", (SQUARE, ARC), grain_degrees=90.0, turn="half"),
    CutLine("3", "brick & mortar", "template", (ARC,)),
    CutLine("4", "sand", "template", (SQUARE,), flat=(FLAT, FLAT + 5)),
    CutLine("3", "brick & mortar", "allowance", (SQUARE,), turn="none"),
    CutLine("5", "sand", "allowance", (SQUARE,), clips=(FLAT[:2], FLAT[1:] + 3)),
]


@pytest.mark.parametrize("size", ['width="100mm" height="100mm" viewBox="0 0 100 100"', ""])
def test_cut_lines_read_back_as_written(size: str) -> None:
    root = drawing("", size)
    write_cut_lines(root, CASES)
    for written, read in zip(CASES, read_cut_lines(root), strict=True):
        assert (read.piece, read.fabric, read.kind) == (written.piece, written.fabric, written.kind)
        assert (read.grain_degrees, read.turn) == (written.grain_degrees, written.turn)
        for a, b in zip(written.flat + written.clips, read.flat + read.clips, strict=True):
            assert b == pytest.approx(a, abs=0.001)
        assert len(read.clips) == len(written.clips)
        for a, b in zip(written.curves, read.curves, strict=True):
            assert b.segments == pytest.approx(a.segments, abs=0.001)
            assert b.straight.tolist() == a.straight.tolist()


def test_a_new_layer_is_hidden_and_an_old_one_left_as_the_user_has_it() -> None:
    root = drawing("")
    write_cut_lines(root, CASES)
    (layer,) = root
    assert layer.get("style") == "display:none"
    layer.set("style", "display:inline")
    write_cut_lines(root, CASES[:1])
    assert root[0].get("style") == "display:inline"
    assert len(read_cut_lines(root)) == 1


@pytest.mark.parametrize(
    ("attributes", "complaint"),
    [
        ('ap:cut="hem" d="M0 0h9v9z"', "'hem' is no kind of cut line"),
        ('ap:cut="outline" d="M0 0 L"', "in the middle of a command"),
        ('ap:cut="outline" d="M0 0 h9 v0 z"', "encloses no area"),
        ('ap:cut="outline" d="M0 0 h9 v9"', "the path is open"),
        ('ap:cut="outline" d="M0 0 h1e5 v9 z"', "10 m or more"),
        ('ap:cut="outline" ap:turn="over" d="M0 0h9v9z"', "ap:turn must be one of"),
        ('ap:cut="outline" ap:grain="up" d="M0 0h9v9z"', "'up' is no angle"),
        ('ap:cut="allowance" ap:clips="M0 0 C1 1 2 2 3 3" d="M0 0h9v9z"', "is curved"),
        ('ap:cut="outline" ap:grain="nan" d="M0 0h9v9z"', "'nan' is no angle"),
        ('ap:cut="outline" ap:flat="M0,0 L1e9,0" d="M0 0h9v9z"', "its ap:flat reaches 10 m"),
        ('ap:cut="outline" ap:clips="M," d="M0 0h9v9z"', "can't be read"),
    ],
)
def test_faults_name_the_piece(attributes: str, complaint: str) -> None:
    root = drawing(f'<g ap:role="cutting"><path ap:piece="17" {attributes}/></g>')
    with pytest.raises(InputError) as refused:
        read_cut_lines(root)
    assert refused.value.findings[0].object == "17"
    assert complaint in refused.value.findings[0].message


def test_a_line_without_a_piece_is_refused() -> None:
    root = drawing('<g ap:role="cutting"><path id="p1" ap:cut="outline" d="M0 0h9v9z"/></g>')
    with pytest.raises(InputError) as refused:
        read_cut_lines(root)
    assert refused.value.findings[0].sentence() == (
        "p1: its cut line can't be used: it names no piece; give it ap:piece or remove it"
    )


def test_the_written_form_is_the_contract() -> None:
    root = drawing("")
    write_cut_lines(root, CASES[1:2])
    (path,) = root[0]
    names = (v.PIECE, v.FABRIC, v.CUT, v.GRAIN, v.TURN)
    assert [path.get(name) for name in names] == ["17b", "sand", "patch", "90", "half"]


def test_clips_stand_in_an_attribute_of_their_own_beside_the_curves() -> None:
    root = drawing("")
    write_cut_lines(root, [CutLine("5", "sand", "allowance", (SQUARE,), clips=(FLAT[:2],))])
    (path,) = root[0]
    assert path.get(v.CLIPS) == "M10,10 L12.5,10"
    assert path.get(v.FLAT) is None
