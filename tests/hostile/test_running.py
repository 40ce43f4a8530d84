"""The watch itself: what it must notice, it notices."""

from __future__ import annotations

from tests.hostile.drawings_xml import drawing
from tests.hostile.running import Outcome, Runner

GOOD = Outcome(0, False, 0.1, 100.0, "note: all is well\n", "", ())


def test_a_good_command_has_no_faults(runner: Runner) -> None:
    told = runner.run("IN.svg", drawing(), "layers")
    assert (told.code, told.faults()) == (0, [])
    assert 40 < told.peak_mb < 400


def test_a_file_written_beside_its_folder_is_noticed(runner: Runner) -> None:
    folder = runner.folder()
    (folder / "IN.svg").write_bytes(drawing())
    told = runner.run_in(folder, ["layers", "IN.svg", "-o", "../elsewhere.svg"])
    assert told.code == 0
    assert "elsewhere.svg" in told.faults()[0]


def test_a_file_read_from_elsewhere_is_noticed(runner: Runner) -> None:
    folder = runner.folder()
    (folder.parent / "other.svg").write_bytes(drawing())
    told = runner.run_in(folder, ["check", "../other.svg"])
    assert told.strange == ("read ../other.svg",)


def test_every_bound_is_one() -> None:
    for bad in (
        Outcome(70, False, 0.1, 100.0, "error: x\n", "", ()),
        Outcome(1, False, 0.1, 100.0, "", "", ()),
        Outcome(0, True, 0.1, 100.0, "", "", ()),
        Outcome(0, False, 11.0, 100.0, "", "", ()),
        Outcome(0, False, 0.1, 1100.0, "", "", ()),
        Outcome(0, False, 0.1, 100.0, "Traceback", "", ()),
        Outcome(0, False, 0.1, 100.0, "note: a\x1b[2J\n", "", ()),
        Outcome(0, False, 0.1, 100.0, "note: " + "a" * 2000, "", ()),
        Outcome(0, False, 0.1, 100.0, "note: a\n" * 300, "", ()),
    ):
        assert bad.faults() != []
    assert GOOD.faults() == []
