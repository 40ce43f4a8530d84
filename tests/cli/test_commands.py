"""The command as a user meets it: what it prints, what it writes, how it ends."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from lxml import etree

from applique.cli.main import main
from applique.export.formats import FORMATS
from applique.svg import vocabulary as v

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
SEA = '<rect id="sea" fill="#2f6f8f" x="10" y="10" width="40" height="30"/>'
ROCK = '<circle id="rock" fill="#7d7f80" cx="60" cy="30" r="18"/>'


@pytest.fixture
def block(tmp_path: Path):
    def write(content: str, attributes: str = "") -> Path:
        path = tmp_path / "block.svg"
        path.write_text(
            '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
            f'width="100mm" height="100mm" viewBox="0 0 100 100" {attributes}>{content}</svg>'
        )
        return path

    return write


def run(*words: object) -> int:
    try:
        return main([str(word) for word in words])
    except SystemExit as ended:  # argparse ends by itself on wrong usage
        return int(ended.code or 0)


def steps(path: Path) -> list[str]:
    root = etree.parse(str(path)).getroot()
    groups = root.iter(v.svg("g"))
    return [f"{g.get(v.PIECE)} {g.get(v.STEP)}" for g in groups if g.get(v.PIECE)]


# layers


def test_layers_of_everything(block, tmp_path: Path, capsys) -> None:
    out = tmp_path / "out.svg"
    assert run("layers", block(SEA + ROCK), "-o", out) == 0
    assert steps(out) == [f"{n} {k}" for n in (1, 2) for k in ("placement", "tack", "edge")]
    told = capsys.readouterr()
    assert "note: nothing is tagged; took whatever is filled: 2 shapes" in told.err
    assert re.search(r"made 2 pieces; the block now has \d+ stitches in 4 colour blocks", told.out)


def test_what_was_taken_is_tagged(block, tmp_path: Path) -> None:
    out = tmp_path / "out.svg"
    bare = '<rect fill="#2f6f8f" width="40" height="30"/>'
    run("layers", block(bare), "-o", out, "--edge", "blanket", "--set", "edge-width=3")
    root = etree.parse(str(out)).getroot()
    rect = root.find(v.svg("rect"))
    assert rect.get("id") == "piece-1"
    tags = {name: rect.get(v.ap(name)) for name in ("piece", "fabric", "edge", "edge-width")}
    assert tags == {"piece": "1", "fabric": "#2f6f8f", "edge": "blanket", "edge-width": "3"}
    assert root.get(v.ROOT_VERSION) == "1"
    assert root.find(f"{v.svg('metadata')}/{v.META_FABRIC}").get("name") == "#2f6f8f"
    assert root.nsmap["ap"] == v.AP


def test_a_selection_leaves_the_rest_alone(block, tmp_path: Path) -> None:
    out = tmp_path / "out.svg"
    assert run("layers", block(SEA + ROCK), "-o", out, "--select", "rock") == 0
    assert steps(out) == ["1 placement", "1 tack", "1 edge"]


def test_the_order_and_its_bound_are_told(block, tmp_path: Path, capsys) -> None:
    run("layers", block(SEA + ROCK), "-o", tmp_path / "o.svg", "--order", "fewest")
    assert "colour blocks: 3 found, at least 3 needed" in capsys.readouterr().out


def test_document_settings_are_written_down(block, tmp_path: Path) -> None:
    out = tmp_path / "out.svg"
    run("layers", block(SEA), "-o", out, "--order", "fewest", "--edges", "last")
    defaults = etree.parse(str(out)).getroot().find(f"{v.svg('metadata')}/{v.META_DEFAULTS}")
    assert dict(defaults.attrib) == {"order": "fewest", "edges": "last"}


def test_the_finished_size_makes_a_frame(block, tmp_path: Path) -> None:
    out = tmp_path / "out.svg"
    wide = '<rect id="sea" fill="#2f6f8f" x="-5" y="40" width="110" height="30"/>'
    run("layers", block(wide), "-o", out, "--finished", "80x80")
    root = etree.parse(str(out)).getroot()
    assert root.get(v.ROOT_FINISHED) == "80x80"
    (line,) = [path for path in root.iter(v.svg("path")) if path.get(v.CUT)]
    numbers = [float(n) for n in re.findall(r"[-\d.]+", line.get("d"))]
    assert min(numbers[::2]) == pytest.approx(10 - 6.35, abs=0.01)


# The whole way


def test_from_a_sample_to_every_file(tmp_path: Path, capsys) -> None:
    layered = tmp_path / "layered.svg"
    assert run("layers", SAMPLES / "sailboat.svg", "-o", layered) == 0
    for suffix in FORMATS:
        assert run("stitch", layered, "-o", tmp_path / f"boat.{suffix}") == 0
        assert (tmp_path / f"boat.{suffix}").stat().st_size > 1000
    assert run("cut", layered, "-o", tmp_path / "cut", "--seconds", "1") == 0
    names = {path.name for path in (tmp_path / "cut").iterdir()}
    assert {"sail-cream-1.svg", "sail-cream-1.dxf", "maps.pdf"} <= names
    assert "read back equal" in capsys.readouterr().out
    assert run("check", layered) == 0


def test_refresh_remakes_only_what_changed(block, tmp_path: Path, capsys) -> None:
    out = tmp_path / "out.svg"
    apart = '<rect id="far" fill="#dcc08b" x="10" y="70" width="20" height="20"/>'
    run("layers", block(SEA + ROCK + apart), "-o", out)
    before = out.read_text()
    out.write_text(before.replace('r="18"', 'r="17"'))
    capsys.readouterr()
    assert run("refresh", out, "-o", out) == 0
    assert "remade: 1, 2" in capsys.readouterr().out
    after = out.read_text()
    assert _step_text(after, "3") == _step_text(before, "3")
    assert _step_text(after, "1") != _step_text(before, "1")


def _step_text(text: str, piece: str) -> list[str]:
    return re.findall(rf'<g [^>]*ap:piece="{piece}".*?</g>', text, re.S)


def test_hand_edited_steps_are_named_and_kept(block, tmp_path: Path, capsys) -> None:
    out = tmp_path / "out.svg"
    run("layers", block(SEA), "-o", out)
    text = out.read_text()
    (edge,) = re.findall(r'<g [^>]*ap:step="edge".*?</g>', text, re.S)
    moved = re.sub(r'd="M[\d.]+,', 'd="M11.5,', edge)
    out.write_text(text.replace(edge, moved).replace('width="40"', 'width="41"'))
    assert run("refresh", out, "-o", out) == 0
    assert "1: the edge step was edited by hand and is kept" in capsys.readouterr().err
    assert 'd="M11.5,' in out.read_text()
    assert run("refresh", out, "-o", out, "--replace-edited") == 0
    assert 'd="M11.5,' not in out.read_text()


def test_a_changed_stacking_remakes_the_order_and_says_so(block, tmp_path: Path, capsys) -> None:
    out = tmp_path / "out.svg"
    run("layers", block(SEA + ROCK), "-o", out)
    text = out.read_text()
    sea = re.search(r"<rect id=\"sea\".*?/>", text)[0]
    rock = re.search(r"<circle id=\"rock\".*?/>", text)[0]
    out.write_text(text.replace(sea, "@").replace(rock, sea).replace("@", rock))
    assert run("refresh", out, "-o", out) == 0
    assert "the sewing order was made anew" in capsys.readouterr().err
    assert steps(out)[:3] == ["2 placement", "2 tack", "2 edge"]


def test_a_deleted_piece_takes_its_steps_along(block, tmp_path: Path, capsys) -> None:
    out = tmp_path / "out.svg"
    run("layers", block(SEA + ROCK), "-o", out)
    out.write_text(re.sub(r"<circle id=\"rock\".*?/>", "", out.read_text()))
    assert run("refresh", out, "-o", out) == 0
    assert "2: is no longer in the drawing; its steps were removed" in capsys.readouterr().err
    assert steps(out) == ["1 placement", "1 tack", "1 edge"]


def test_a_piece_added_later_enters_in_its_place(block, tmp_path: Path) -> None:
    out = tmp_path / "out.svg"
    run("layers", block(SEA + ROCK), "-o", out)
    new = '<rect id="new" fill="#123456" x="30" y="20" width="30" height="12"/>'
    text = out.read_text().replace('<circle id="rock"', f'{new}<circle id="rock"')
    out.write_text(text)
    assert run("layers", out, "-o", out, "--select", "new") == 0
    assert [step.split()[0] for step in steps(out)][::3] == ["1", "3", "2"]


# stitch and cut


def test_lopsided_stitches_are_told_or_marked(block, tmp_path: Path, capsys) -> None:
    layered = tmp_path / "out.svg"
    run("layers", block(SEA), "-o", layered)
    capsys.readouterr()
    run("stitch", layered, "-o", tmp_path / "a.dst")
    assert "20.0 mm left and 25.0 mm above the block's centre" in capsys.readouterr().out
    run("stitch", layered, "-o", tmp_path / "b.dst", "--centre", "marks")
    assert "block's centre" not in capsys.readouterr().out
    run("stitch", layered, "-o", tmp_path / "c.dst", "--centre", "box")
    assert "block's centre" not in capsys.readouterr().out


def test_blocks_that_keep_their_thread_are_told(block, tmp_path: Path, capsys) -> None:
    layered = tmp_path / "out.svg"
    run("layers", block(SEA), "-o", layered)
    run("stitch", layered, "-o", tmp_path / "a.pes")
    told = capsys.readouterr().out
    assert "keep the thread at colour block 2, whatever colour the machine shows there" in told


def test_fabric_names_become_safe_file_names(block, tmp_path: Path) -> None:
    layered = tmp_path / "out.svg"
    names = ["../../etc", "Möwe", "mowe", "海", "a/b:c"]
    shapes = "".join(
        f'<rect ap:piece="{k}" ap:fabric="{name}" x="{k * 15}" width="12" height="12"/>'
        for k, name in enumerate(names)
    )
    run("layers", block(shapes), "-o", layered)
    assert run("cut", layered, "-o", tmp_path / "cut", "--face", "right") == 0
    found = {path.stem for path in (tmp_path / "cut").rglob("*.svg")}
    assert found == {"etc-1", "mowe-1", "mowe-2-1", "fabric-1", "a-b-c-1"}
    assert {path.stem for path in (tmp_path / "cut" / "pictures").iterdir()} == found


# check


def test_check_reports_as_json(block, capsys) -> None:
    bad = f'{SEA}<path id="x" d="M60 60 h20 v20" fill="red"/>'
    assert run("check", block(bad), "--json") == 0
    findings = json.loads(capsys.readouterr().out)["findings"]
    (gap,) = [f for f in findings if f["code"] == "open-path"]
    assert gap["object"] == "x"
    assert gap["place_mm"] == [70, 70]


@pytest.mark.parametrize(
    ("content", "code"),
    [
        ('<path ap:piece="1" d="M0 0h20v20"/>', "open-path"),
        ('<path d="M10 10l20 20h-20l20-20z"/>', "self-crossing"),
        ('<rect ap:piece="1" width="4" height="4"/>', "tiny"),
        ('<rect ap:piece="1" width="60" height="3"/>', "narrow"),
        (f"{SEA}{SEA.replace('sea', 'sea2')}", "duplicate"),
        (SEA.replace("/>", ' ap:piece="1" ap:thread-name="Grün"/>'), "name"),
    ],
)
def test_check_finds(block, capsys, content: str, code: str) -> None:
    run("check", block(content), "--json")
    findings = json.loads(capsys.readouterr().out)["findings"]
    assert code in {finding["code"] for finding in findings}


def test_check_knows_stale_and_edited_steps(block, tmp_path: Path, capsys) -> None:
    out = tmp_path / "out.svg"
    run("layers", block(SEA), "-o", out)
    out.write_text(out.read_text().replace('width="40"', 'width="42"').replace(" L1", " L2", 1))
    capsys.readouterr()
    run("check", out, "--json")
    codes = {f["code"] for f in json.loads(capsys.readouterr().out)["findings"]}
    assert {"stale", "edited"} <= codes


# Refusals: one sentence, the right exit code, nothing written over.


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        (["layers", "gone.svg", "-o", "out.svg"], 1, "gone.svg: can't be opened"),
        (["layers", "{block}"], 2, "error: -o OUT.svg is missing; see 'applique layers --help'"),
        (["layers", "{block}", "-o", "out.svg", "--select", "nosuch"], 1, "nosuch: no element"),
        (["layers", "{block}", "-o", "out.svg", "--set", "fringe=3"], 2, "no setting 'fringe'"),
        (
            ["layers", "{block}", "-o", "out.svg", "--set", "fringe"],
            2,
            "not of the form NAME=VALUE",
        ),
        (["layers", "{block}", "-o", "out.svg", "--edge-width", "99"], 2, "must lie between"),
        (["layers", "{block}", "-o", "out.svg", "--edge", "fringe"], 2, "must be one of"),
        (["layers", "{block}", "-o", "out.svg", "--finished", "big"], 2, "is not a size"),
        (["stitch", "{block}", "-o", "out.xyz"], 2, "no machine format has this suffix"),
        (
            ["stitch", "{block}", "-o", "out.dst"],
            1,
            "there are no stitches; use 'applique layers' first",
        ),
        (
            ["cut", "{block}", "-o", "cut"],
            1,
            "block.svg: there are no cut lines; use 'applique layers' first",
        ),
        (["refresh", "{block}", "-o", "out.svg"], 1, "no layers to refresh"),
        (["fly"], 2, "there is no command 'fly'; see 'applique --help'"),
        ([], 2, "no command is given; see 'applique --help'"),
    ],
)
def test_refusals(
    block, tmp_path: Path, monkeypatch, capsys, words: list[str], code: int, sentence: str
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "out.svg").write_text("precious")
    (tmp_path / "out.dst").write_text("precious")
    path = str(block(SEA))
    assert run(*[word.format(block=path) for word in words]) == code
    told = capsys.readouterr().err
    assert sentence in told
    assert "Traceback" not in told
    assert (tmp_path / "out.svg").read_text() == "precious"
    assert (tmp_path / "out.dst").read_text() == "precious"
    assert not (tmp_path / "cut").exists()


def test_an_error_among_the_selected_writes_nothing(block, tmp_path: Path, capsys) -> None:
    out = tmp_path / "out.svg"
    out.write_text("precious")
    bad = f'{SEA}<text id="t">x</text><path id="p" d="M0 0h9v9"/>'
    assert run("layers", block(bad), "-o", out, "--select", "sea,t,p") == 1
    told = capsys.readouterr().err
    assert "error: t: text can't be sewn" in told
    assert "error: p: the path is open" in told
    assert out.read_text() == "precious"


def test_edges_last_that_would_show_is_refused(block, tmp_path: Path, capsys) -> None:
    out = tmp_path / "out.svg"
    blanket = ROCK.replace("/>", ' ap:piece="2" ap:edge="blanket"/>')
    sea = SEA.replace("/>", ' ap:piece="1"/>')
    drawing = block(sea + blanket.replace('cx="60"', 'cx="50"'))
    assert run("layers", drawing, "-o", out, "--edges", "last") == 1
    assert "1: its edge ends under piece 2, whose blanket edge" in capsys.readouterr().err
    assert not out.exists()


def test_demo_makes_everything(tmp_path: Path, capsys) -> None:
    assert run("demo", "-o", tmp_path / "demo") == 0
    names = {path.name for path in (tmp_path / "demo").iterdir()}
    assert {f"lighthouse.{suffix}" for suffix in FORMATS} | {
        "lighthouse-layers.svg",
        "cut",
        "hoopings",
        "traced",
        "composed",
    } == names
    sheets = {path.name for path in (tmp_path / "demo" / "cut").iterdir()}
    assert {"brick-red-1.svg", "brick-red-1.dxf", "maps.pdf", "fabric-needed.txt"} <= sheets
    hoopings = {path.suffix for path in (tmp_path / "demo" / "hoopings").iterdir()}
    assert hoopings == {".dst", ".pdf", ".png", ".json"}
    composed = {path.name for path in (tmp_path / "demo" / "composed").iterdir()}
    assert composed == {"evening-harbour.svg", "evening-harbour-card.pdf"}
    told = capsys.readouterr().out
    assert "lighthouse.dst" in told
    # As many templates as were drawn, and the one gap on the pages is told.
    assert "harbour-pages.svg: 24 outlines" in told
    assert "harbour-photo.svg: 11 outlines" in told
    assert "look at 6: a gap of 1.5 mm at its top was closed" in told
    assert "lighthouse: 10 fabrics nested on 10 sheets" in told
    assert "fingers away from the needle" in told


def test_what_no_longer_fits_the_drawing_is_told_before_it_is_sewn_or_cut(
    block, tmp_path: Path, capsys
) -> None:
    layered = tmp_path / "out.svg"
    run("layers", block(SEA + ROCK), "-o", layered)
    text = layered.read_text(encoding="utf-8")
    layered.write_text(text.replace('width="40"', 'width="41"'), encoding="utf-8")
    warning = (
        "warning: the layers are not those of the drawing any more at 1; use 'applique refresh'"
    )
    capsys.readouterr()
    assert run("stitch", layered, "-o", tmp_path / "a.dst") == 0
    assert warning in capsys.readouterr().err
    assert run("cut", layered, "-o", tmp_path / "cut") == 0
    assert warning in capsys.readouterr().err
    run("refresh", layered, "-o", layered)
    capsys.readouterr()
    run("stitch", layered, "-o", tmp_path / "a.dst")
    assert capsys.readouterr().err == ""


def test_a_piece_without_layers_is_told(block, tmp_path: Path, capsys) -> None:
    layered = tmp_path / "out.svg"
    run("layers", block(SEA), "-o", layered)
    new = '<rect id="n" ap:piece="9" x="60" y="60" width="20" height="20"/></svg>'
    text = layered.read_text(encoding="utf-8").replace("</svg>", new)
    layered.write_text(text, encoding="utf-8")
    capsys.readouterr()
    run("check", layered)
    assert "warning: 9: has no stitches yet; use 'applique layers'" in capsys.readouterr().err
    run("stitch", layered, "-o", tmp_path / "a.dst")
    assert "not those of the drawing any more at 9" in capsys.readouterr().err


def test_a_shape_that_was_not_tagged_is_told(block, tmp_path: Path, capsys) -> None:
    tagged = SEA.replace("<rect", '<rect ap:piece="1"')
    sky = '<rect id="sky" width="100" height="100" fill="#cde"/>'
    run("check", block(sky + tagged + ROCK))
    assert "note: not tagged, so left as artwork: rock;" in capsys.readouterr().err


def test_a_script_gets_json_whatever_stands_in_the_way(tmp_path: Path, capsys) -> None:
    broken = tmp_path / "broken.svg"
    broken.write_text("<svg><g></svg>")
    assert run("check", broken, "--json") == 1
    (found,) = json.loads(capsys.readouterr().out)["findings"]
    assert "is no readable SVG" in found["message"]
