"""`applique hoop`: what is written and said, what is refused in one sentence."""

from __future__ import annotations

import json
import signal
from pathlib import Path

import pytest

from applique.cli.hoop_say import far
from applique.cli.main import main
from applique.cli.watch import watched
from applique.files import read_svg, svg_bytes
from applique.hoops.problem import Progress
from applique.pipeline import make_layers
from tests.conftest import SAMPLES
from tests.export.tape import decode

FIELD = ("--field", "160x260")


@pytest.fixture(scope="module")
def lighthouse(tmp_path_factory: pytest.TempPathFactory) -> Path:
    tree = read_svg(SAMPLES / "lighthouse.svg")
    make_layers(tree.getroot())
    path = tmp_path_factory.mktemp("layers") / "lighthouse.svg"
    path.write_bytes(svg_bytes(tree))
    return path


def run(*words: object) -> int:
    return main([str(word) for word in words])


def refused(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    """The sentences of a refusal by the document (1) or by the command's words (2)."""
    try:
        code = run("hoop", *words)
    except SystemExit as stop:
        code = int(str(stop.code))
    assert code in (1, 2)
    return capsys.readouterr().err


def test_every_hooping_has_its_files(
    lighthouse: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "out"
    assert run("hoop", lighthouse, *FIELD, "-o", folder, "--format", "pes") == 0
    told = capsys.readouterr().out
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    count = plan["hoopings_found"]
    assert f"{count} hoopings; no plan" in told
    names = {path.name for path in folder.iterdir()}
    wanted = {"lighthouse-hoopings.png", "plan.json"}
    for number in range(1, count + 1):
        wanted |= {f"lighthouse-hooping-{number}.{suffix}" for suffix in ("pes", "pdf")}
    assert names == wanted
    weights = [part["weight"] for part in plan["certificate"]["parts"]]
    assert -(-sum(weights) // plan["certificate"]["capacity"]) == plan["certificate"]["bound"]


def test_the_same_block_gives_the_same_bytes(lighthouse: Path, tmp_path: Path) -> None:
    for name in ("one", "two"):
        assert run("hoop", lighthouse, *FIELD, "-o", tmp_path / name) == 0
    for path in (tmp_path / "one").iterdir():
        assert path.read_bytes() == (tmp_path / "two" / path.name).read_bytes()


def test_files_of_an_earlier_plan_are_pointed_out(
    lighthouse: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old = tmp_path / "lighthouse-hooping-99.dst"
    old.write_bytes(b"old")
    assert run("hoop", lighthouse, "--field", "260x400", "--turn", "-o", tmp_path) == 0
    assert "lighthouse-hooping-99.dst" in capsys.readouterr().err
    assert old.read_bytes() == b"old"


def test_every_pattern_has_a_file_of_its_own(tmp_path: Path) -> None:
    drawing = tmp_path / "block.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
        'width="200mm" height="100mm" viewBox="0 0 200 100">'
        '<rect fill="#2f6f8f" x="20" y="20" width="30" height="30" ap:piece="A1"/>'
        '<rect fill="#b2392f" x="70" y="20" width="30" height="30" ap:piece="a1"/>'
        '<rect fill="#f2b632" x="120" y="20" width="30" height="30" ap:piece="3"/></svg>',
        encoding="utf-8",
    )
    assert run("layers", drawing, "-o", drawing) == 0
    words = ("--by-machine", "A1", "--by-machine", "a1", "-o", tmp_path / "out")
    assert run("hoop", drawing, *FIELD, *words) == 0
    names = {path.name for path in (tmp_path / "out").glob("*-pattern-*")}
    assert names == {"block-pattern-a1.pdf", "block-pattern-a1-2.pdf"}


def test_a_block_that_fits_turned_is_one_hooping(lighthouse: Path, tmp_path: Path) -> None:
    assert run("hoop", lighthouse, "--field", "260x400", "--turn", "-o", tmp_path) == 0
    plan = json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))
    [hooping] = plan["hoopings"]
    assert hooping["turned"] and plan["crosses"] == []
    tape = decode((tmp_path / "lighthouse-hooping-1.dst").read_bytes())
    width = max(x for x, _ in tape.stitches) - min(x for x, _ in tape.stitches)
    height = max(y for _, y in tape.stitches) - min(y for _, y in tape.stitches)
    assert width <= 2600 and 2600 < height <= 4000


def test_the_sewing_machine_gets_a_pattern(lighthouse: Path, tmp_path: Path) -> None:
    words = ("--too-large", "sewing-machine", "-o", tmp_path)
    assert run("hoop", lighthouse, *FIELD, *words) == 0
    plan = json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))
    assert plan["sewing_machine"]
    for left in plan["sewing_machine"]:
        assert (tmp_path / f"lighthouse-pattern-{left['piece']}.pdf").is_file()


def test_fields_are_compared_and_nothing_is_written(
    lighthouse: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    words = ("--field", "200x300", "--field", "260x400", "--turn", "--compare")
    assert run("hoop", lighthouse, *words) == 0
    table = capsys.readouterr().out.splitlines()
    assert table[0].split() == ["field", "hoopings", "at", "least", "stops", "minutes"]
    assert [line.split()[0] for line in table[1:3]] == ["200x300", "260x400"]
    assert table[2].split()[4:6] == ["1", "1"]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (("--field", "20x20"), "no piece fits any of the fields"),
        (("--field", "100x100", "--margin", "50"), "leaves nothing of the field 100x100"),
        (("--field", "6x10in"), "more than one field"),
        (("--field", "0x100"), "larger than 0"),
        (("--field", "160x260", "--fix", "99=1"), "there is no piece 99"),
        (("--field", "160x260", "--fix", "3"), "PIECE=N"),
        (("--field", "160x260", "--fix", "17=15"), "fix pieces to smaller numbers"),
        (
            ("--field", "160x260", "--fix", "17=99999999"),
            "there are fewer pieces; give a smaller number",
        ),
        (("--field", "160x260", "--fix", "3=1", "--fix", "3=2"), "fixed to hoopings 1 and 2"),
        (("--field", "160x260", "--by-machine", "99"), "there is no piece 99"),
        (("--field", "160x260", "--paper", "60x60"), "paper"),
        (("--field", "160x260", "--misreading", "0"), "misreading"),
        (("--field", "160x260", "--seconds", "0"), "no time"),
        (("--field", "160x260", "--keep-out", "0,0,300,300"), "no field can be put over"),
        ((), "--field WxH is missing; give at least one"),
    ],
)
def test_what_can_not_be_done_is_told_and_nothing_written(
    words: tuple[str, ...],
    complaint: str,
    lighthouse: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert complaint in refused(capsys, lighthouse, *words, "-o", tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_without_layers_there_is_nothing_to_hoop(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = SAMPLES / "lighthouse.svg"
    assert "use 'applique layers' first" in refused(capsys, source, *FIELD, "-o", tmp_path)


def test_a_search_ends_when_it_is_told_to() -> None:
    before = signal.getsignal(signal.SIGINT)
    with watched(1e9, far) as told:
        assert told(Progress(3, 2, "looking"))
        signal.raise_signal(signal.SIGINT)
        assert not told(Progress(3, 2, "looking"))
    assert signal.getsignal(signal.SIGINT) is before
    with watched(1e-9, far) as told:
        assert not told(Progress(3, 2, "looking"))
