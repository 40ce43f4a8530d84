"""`applique cut` in a folder in which it was done before."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from applique.cutsheets import buying, cutting, mixing
from applique.nesting import solver
from tests.cli.cut_blocks import WHALE, block, contents, cut


@pytest.fixture(scope="module")
def whale(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return block(tmp_path_factory.mktemp("blocks") / "whale.svg", *WHALE)


@pytest.fixture(scope="module")
def sheets(whale: Path) -> Path:
    """What is written of the whale, laid by the plain packer to save time; nothing changes it."""
    folder = whale.parent / "sheets"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(solver, "is_there", lambda: False)
        assert cut(whale, "-o", folder) == 0
    return folder


@pytest.fixture
def again(sheets: Path, tmp_path: Path) -> Path:
    """A folder in which the whale was cut before."""
    return Path(shutil.copytree(sheets, tmp_path / "again"))


@pytest.fixture(autouse=True)
def plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the solver, which these tests don't need."""
    monkeypatch.setattr(solver, "is_there", lambda: False)


def never(*given: Any) -> Any:
    raise AssertionError("searched")


def test_the_same_again_is_the_same_and_needs_no_search(
    whale: Path, again: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = contents(again)
    monkeypatch.setattr(cutting, "nest", never)
    monkeypatch.setattr(buying, "needed_of", never)
    assert cut(whale, "-o", again) == 0
    assert contents(again) == before


@pytest.mark.parametrize(
    ("words", "searched"),
    [
        (("--anew",), 2),
        (("--gap", "4"), 1),  # The only piece of sand lies right with any gap.
        (("--turn", "sand=none"), 1),
    ],
)
def test_what_has_changed_is_searched_again(
    whale: Path,
    again: Path,
    monkeypatch: pytest.MonkeyPatch,
    words: tuple[str, ...],
    searched: int,
) -> None:
    count = []
    nest = cutting.nest

    def counted(*given: Any) -> Any:
        count.append(1)
        return nest(*given)

    monkeypatch.setattr(cutting, "nest", counted)
    assert cut(whale, "-o", again, *words) == 0
    assert len(count) == searched


@pytest.mark.parametrize("record", [b"", b"[]", b'{"sheets": {"sea blue": 7}}', b"\xff"])
def test_a_damaged_record_is_no_hindrance(whale: Path, again: Path, record: bytes) -> None:
    before = contents(again)
    (again / "nesting.json").write_bytes(record)
    assert cut(whale, "-o", again) == 0
    assert set(contents(again)) == set(before)


def test_sheets_of_an_earlier_run_are_pointed_out(
    whale: Path, again: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (again / "sea-blue-2.svg").write_bytes(b"old")
    assert cut(whale, "-o", again) == 0
    assert "lie there too: sea-blue-2.svg" in capsys.readouterr().err
    assert (again / "sea-blue-2.svg").read_bytes() == b"old"


def test_shared_mats_again_are_the_same_and_need_no_search(
    whale: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert cut(whale, "-o", tmp_path, "--mixed") == 0
    before = contents(tmp_path)
    assert {"mixed-1.svg", "nesting.json"} <= set(before)
    monkeypatch.setattr(mixing, "share_mats", never)
    monkeypatch.setattr(buying, "needed_of", never)
    assert cut(whale, "-o", tmp_path, "--mixed") == 0
    assert contents(tmp_path) == before
    with pytest.raises(AssertionError, match="searched"):
        cut(whale, "-o", tmp_path, "--mixed", "--anew")


@pytest.mark.parametrize("tool", ["cutter", "scissors"])
def test_a_spoiled_piece_leaves_the_sheets_of_a_full_run_as_they_are(
    whale: Path, again: Path, capsys: pytest.CaptureFixture[str], tool: str
) -> None:
    """Nor are these called outdated; those of another spoiled piece are."""
    before = contents(again)
    assert cut(whale, "-o", again, "--only", "17", "--for", tool) == 0
    after = contents(again)
    assert {name: after[name] for name in before} == before
    assert "lie there too" not in capsys.readouterr().err
    assert cut(whale, "-o", again, "--only", "2") == 0
    told = capsys.readouterr().err
    suffix = {"cutter": "dxf", "scissors": "pdf"}[tool]
    assert f"too: again-sea-blue-1.{suffix}, again-sea-blue-1.svg; remove what" in told
    # A full run finds its record, and does not call the sheets of spoiled pieces outdated.
    assert cut(whale, "-o", again) == 0
    assert "lie there too" not in capsys.readouterr().err
    assert {name: data for name, data in contents(again).items() if name in before} == before
