"""No work is ever lost: killed, interrupted, on a full disk, two at once."""

from __future__ import annotations

import errno
import os
import random
import signal
import tempfile
import time
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from applique import files, folders
from applique.cli.main import main
from applique.errors import OutputError
from applique.files import put_all_in_place, put_in_place
from applique.folders import held
from applique.standing import standing
from tests import every_command
from tests.building.quilts import contents, write_quilt

if os.name == "nt":
    pytest.skip("processes are forked and killed by signals here", allow_module_level=True)

from tests.never_lost import NEXT, Kills, ended, forked, strays

MEMORY = Path("/dev/shm")
SEED = 20
KILLS = 500
LONGEST_S = 0.01


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def naively(results: Mapping[Path, bytes]) -> None:
    for path, data in results.items():
        path.write_bytes(data)


@pytest.fixture
def memory(tmp_path: Path) -> Iterator[Path]:
    """A folder in memory where there is one: a kill is no power cut, and the disk would take most
    of the time."""
    if not MEMORY.is_dir() or not os.access(MEMORY, os.W_OK):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=MEMORY) as folder:
        yield Path(folder)


def test_killed_at_500_moments_every_file_is_old_or_new(memory: Path) -> None:
    kills, chance = Kills(memory, put_all_in_place), random.Random(SEED)
    for _ in range(KILLS):
        kills.kill(chance.uniform(0.0, LONGEST_S))
        put_in_place(memory / NEXT, b"")
        assert strays(memory) == []  # Nothing is left over after the next run.
    assert kills.torn == 0
    assert kills.strays > KILLS / 10  # So many of the kills came while a file was written.


def test_the_kills_find_what_is_written_over_in_part(memory: Path) -> None:
    """Else they would prove nothing."""
    kills, chance = Kills(memory, naively), random.Random(SEED)
    for _ in range(KILLS):
        kills.kill(chance.uniform(0.0, LONGEST_S))
        if kills.torn:
            return
    pytest.fail("no file was torn")


@pytest.fixture
def old(tmp_path: Path) -> dict[Path, bytes]:
    """Two files that are there, and what is to take their places."""
    for name in ("a.svg", "b.svg"):
        (tmp_path / name).write_bytes(b"old")
    return {tmp_path / "a.svg": b"new a", tmp_path / "b.svg": b"new b"}


FULL = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
LOCKED = PermissionError(errno.EACCES, os.strerror(errno.EACCES))


@pytest.mark.parametrize(
    ("owner", "name", "problem", "remedy"),
    [
        (os, "fsync", FULL, "make room there and run it again"),
        (tempfile, "NamedTemporaryFile", FULL, "make room there and run it again"),
        (tempfile, "NamedTemporaryFile", LOCKED, "give a place that you may write to"),
        (Path, "replace", LOCKED, "give a place that you may write to"),
        (Path, "mkdir", LOCKED, "give a place that you may write to"),
    ],
)
def test_what_the_disk_refuses_leaves_everything_as_it_was(
    old: dict[Path, bytes],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    owner: object,
    name: str,
    problem: OSError,
    remedy: str,
) -> None:
    before = contents(tmp_path)

    def refuse(*given: object, **more: object) -> None:
        raise problem

    monkeypatch.setattr(owner, name, refuse)
    new_folder = {tmp_path / "new" / "deep" / "c.svg": b"new"} if name != "replace" else {}
    with pytest.raises(OutputError) as refused:
        put_all_in_place(old | new_folder)
    assert str(refused.value).endswith(f"can't be written ({problem.strerror}); {remedy}")
    monkeypatch.undo()
    assert contents(tmp_path) == before
    assert names(tmp_path) == ["a.svg", "b.svg"]  # No folder was left either.


def test_a_disk_that_is_really_full(old: dict[Path, bytes], tmp_path: Path) -> None:
    """The system itself lets no file grow beyond a hundred bytes."""
    import resource

    def write() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (100, resource.RLIM_INFINITY))
        with pytest.raises(OutputError, match=r"a\.svg: can't be written \(File too large\)"):
            put_all_in_place(old | {tmp_path / "a.svg": bytes(1000)})

    before = contents(tmp_path)
    with forked(write) as child:
        assert ended(child) == 0
    assert contents(tmp_path) == before


def test_a_folder_that_is_write_protected() -> None:
    """Root may write anywhere: where it runs the tests, somebody else tries."""

    def write() -> None:
        if os.geteuid() == 0:
            os.seteuid(_NOBODY)
        with pytest.raises(OutputError, match="give a place that you may write to"):
            put_in_place(folder / "a.svg", b"new")

    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "a.svg").write_bytes(b"old")
        (folder / "a.svg").chmod(0o666)
        folder.chmod(0o555)
        with forked(write) as child:
            assert ended(child) == 0
        assert contents(folder) == {"a.svg": b"old"}
        folder.chmod(0o755)


_NOBODY = 65534


def test_interrupted_while_it_writes_nothing_is_changed(
    old: dict[Path, bytes], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    before = contents(tmp_path)
    monkeypatch.setattr(os, "fsync", lambda handle: signal.raise_signal(signal.SIGINT))
    with pytest.raises(KeyboardInterrupt):
        put_all_in_place(old)
    assert contents(tmp_path) == before


def test_interrupted_between_two_moves_it_ends_them_first(
    old: dict[Path, bytes], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    moved = files._moved

    def interrupted(temporary: Path, target: Path) -> None:
        moved(temporary, target)
        signal.raise_signal(signal.SIGINT)

    handler = signal.getsignal(signal.SIGINT)
    monkeypatch.setattr(files, "_moved", interrupted)
    with pytest.raises(KeyboardInterrupt):
        put_all_in_place(old)
    assert contents(tmp_path) == {"a.svg": b"new a", "b.svg": b"new b"}
    assert signal.getsignal(signal.SIGINT) is handler


def test_a_command_that_is_interrupted_ends_with_one_sentence(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(os, "fsync", lambda handle: signal.raise_signal(signal.SIGINT))
    assert main(["quilt", "--write-schema", str(tmp_path / "quilt.json")]) == 130
    told = "error: stopped; every file is whole, as it was before or as it was to be\n"
    assert capsys.readouterr().err == told
    assert contents(tmp_path) == {}


@pytest.fixture
def unflushed(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is flushed to the disk when takes most of the time, and doesn't matter."""
    monkeypatch.setattr(os, "fsync", lambda handle: None)


def test_two_runs_at_once_do_not_mix(unflushed: None, tmp_path: Path) -> None:
    paths = [tmp_path / f"{number}.dst" for number in range(5)]
    rounds = 200

    def write(who: str) -> None:
        for number in range(rounds):
            data = f"{who} {number} ".encode() * 500
            put_all_in_place(dict.fromkeys(paths, data))

    with forked(lambda: write("one")) as one, forked(lambda: write("two")) as two:
        assert (ended(one), ended(two)) == (0, 0)
    [data] = {path.read_bytes() for path in paths}
    assert data in {f"{who} {rounds - 1} ".encode() * 500 for who in ("one", "two")}
    assert names(tmp_path) == [path.name for path in paths]


def test_folders_are_held_in_one_order_by_all(unflushed: None, tmp_path: Path) -> None:
    """Two runs that name the same two folders in opposite order don't wait for each other."""
    paths = [tmp_path / name / "x.svg" for name in ("a", "b")]

    def write(results: list[Path]) -> None:
        for _ in range(100):
            put_all_in_place(dict.fromkeys(results, b"x"))

    with forked(lambda: write(paths)) as one, forked(lambda: write(paths[::-1])) as two:
        assert (ended(one), ended(two)) == (0, 0)


def test_who_waits_too_long_is_told(
    old: dict[Path, bytes], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(folders, "LONGEST_WAIT_S", 0.05)
    before = contents(tmp_path)
    late = pytest.raises(OutputError, match="another run is writing there; wait until it is done")
    with held([tmp_path]), late:
        put_all_in_place(old)
    assert contents(tmp_path) == before
    put_all_in_place(old)


def test_the_lock_ends_with_its_process(tmp_path: Path) -> None:
    held_now, holds = os.pipe()

    def hold() -> None:
        with held([tmp_path]):
            os.write(holds, b".")
            time.sleep(60)

    with forked(hold) as child:
        assert os.read(held_now, 1) == b"."
        os.kill(child, signal.SIGKILL)
        ended(child)
        put_in_place(tmp_path / "a.svg", b"new")
    os.close(held_now)
    os.close(holds)
    assert contents(tmp_path) == {"a.svg": b"new"}


def test_without_locks_it_is_written_all_the_same(
    old: dict[Path, bytes], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """But then nobody knows whether a part file belongs to a living run, and it stays."""
    import fcntl

    def none(handle: int, how: int) -> None:
        raise OSError(errno.EBADF, os.strerror(errno.EBADF))

    monkeypatch.setattr(fcntl, "flock", none)
    (tmp_path / ".applique-abcd1234.part").write_bytes(b"")
    put_all_in_place(old)
    assert contents(tmp_path).pop("a.svg") == b"new a"
    assert ".applique-abcd1234.part" in names(tmp_path)


def test_only_part_files_of_ours_are_removed(tmp_path: Path) -> None:
    (tmp_path / ".applique-abcd1234.part").write_bytes(b"half")
    for name in (".applique-abcd1234.part.bak", "applique-abcd1234.part", ".applique-A B.part"):
        (tmp_path / name).write_bytes(b"foreign")
    (tmp_path / ".applique-folder00.part").mkdir()
    (tmp_path / ".applique-link0000.part").symlink_to("applique-abcd1234.part")
    before = set(names(tmp_path))
    put_in_place(tmp_path / "a.svg", b"new")
    assert set(names(tmp_path)) == before - {".applique-abcd1234.part"} | {"a.svg"}


def test_what_somebody_else_has_saved_meanwhile_stays(tmp_path: Path) -> None:
    path, other = tmp_path / "block.svg", tmp_path / "other.svg"
    path.write_bytes(b"drawn")
    was = standing(path)
    path.write_bytes(b"drawn on")
    with pytest.raises(OutputError, match="saved by somebody else meanwhile"):
        put_in_place(path, b"made from what was drawn first", was)
    assert path.read_bytes() == b"drawn on"
    put_in_place(other, b"made", was)  # That takes nobody's place.
    put_in_place(path, b"made", standing(path))
    assert contents(tmp_path) == {"block.svg": b"made", "other.svg": b"made"}


def test_what_was_saved_while_a_command_ran_stays(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As when a block is saved in the editor while its layers are made, or two add to a library."""
    write_quilt(tmp_path)
    assert main(["layers", str(tmp_path / "house.svg"), "-o", str(tmp_path / "house.svg")]) == 0
    shelf, house = tmp_path / "set.svg", tmp_path / "house.svg"
    boat = tmp_path / "drawings" / "boat.svg"
    for path, *words in (
        (house, "layers", house, "-o", house),
        (house, "refresh", house, "-o", house),
        (house, "library", "update", house, "--from", shelf, "-o", house),
        (shelf, "library", "add", boat, "--to", shelf),
        (shelf, "library", "rename", shelf, "T1", "--to", "9"),
        (shelf, "library", "remove", shelf, "T2"),
    ):
        saved = path.read_bytes() + b"<!-- saved meanwhile -->"
        with monkeypatch.context() as patch:
            patch.setattr(
                os, "fsync", lambda handle, path=path, saved=saved: path.write_bytes(saved)
            )
            assert main([str(word) for word in words]) == 1
        assert "was saved by somebody else meanwhile" in capsys.readouterr().err
        assert path.read_bytes() == saved


def test_no_result_takes_the_place_of_what_it_was_made_from(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    every_command.write_inputs(tmp_path)
    layered = (tmp_path / "house-layers.svg").read_bytes()
    scan = (tmp_path / "page.png").read_bytes()
    for path, data, *words in (
        ("page.png", scan, "trace", "page.png", "-o", "page.png"),
        ("page.png", scan, "trace", "page.png", "-o", "p.svg", "--report", "page.png"),
        ("sky-1.svg", layered, "cut", "sky-1.svg", "-o", ".", "--seconds", "30"),
        ("plan.json", layered, "hoop", "plan.json", "-o", ".", "--field", "130x180"),
    ):
        (tmp_path / path).write_bytes(data)
        there = names(tmp_path)
        capsys.readouterr()
        words = [str(tmp_path / word) if "." in word else word for word in words]
        assert main(words) == 1
        assert "is what is read; give another name for the result" in capsys.readouterr().err
        assert (tmp_path / path).read_bytes() == data
        assert names(tmp_path) == there
