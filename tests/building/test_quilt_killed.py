"""A build that is killed anywhere goes on where it was, and nobody can tell afterwards."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.building import quilts
from tests.building.conftest import Quilt

SEED = 8
KILLS = 8


class Killed(BaseException):
    """The process is gone: not even what stands under `finally` is done."""


class Mortal:
    """Ends the process, as far as files can tell, at some step of writing them."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.left = sys.maxsize
        for owner, name in (
            (os, "fsync"),
            (Path, "replace"),
            (Path, "unlink"),
            (Path, "chmod"),
            (Path, "mkdir"),
            (Path, "rmdir"),
            (tempfile, "NamedTemporaryFile"),
        ):
            monkeypatch.setattr(owner, name, self._counted(getattr(owner, name)))

    def _counted(self, plain):  # type: ignore[no-untyped-def]
        def step(*words, **more):  # type: ignore[no-untyped-def]
            if self.left <= 0:
                raise Killed
            self.left -= 1
            return plain(*words, **more)

        return step


def killed_until_done(quilt: Quilt, mortal: Mortal, most_steps: int) -> int:
    """Build a quilt, again and again, and let it live for a few steps of writing each time; returns
    how often it was killed."""
    chance = random.Random(SEED)
    for kills in range(1000):
        mortal.left = chance.randint(0, most_steps)
        try:
            assert quilt.build().is_whole
        except Killed:
            continue
        finally:
            mortal.left = sys.maxsize
        return kills
    raise AssertionError("it never gets on")


def parts(folder: Path) -> list[Path]:
    return list(folder.rglob("*.part"))


def test_killed_at_any_step_of_writing_it_ends_with_the_same_bytes(
    unbuilt: Quilt, once: Quilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert killed_until_done(unbuilt, Mortal(monkeypatch), 50) > 10
    assert unbuilt.contents() == once.contents()


def test_killed_while_a_change_is_built_it_ends_with_the_same_bytes(
    quilt: Quilt, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A piece smaller, a block gone, another name: what was there is replaced and removed."""

    def change(quilt: Quilt) -> None:
        quilts.edit(quilt.folder / "house.svg", quilts.ROOF, "M24 52 L50 28 L76 52 Z")
        quilts.edit(quilt.path, 'name = "Boat"', 'name = "Ship"')
        quilts.edit(quilt.path, '["House", "Boat"], ["Boat", "Tree"]', '["House", "Ship"]')
        tree = quilts.BLOCKS[quilts.BLOCKS.index('[[block]]\nname = "Tree"') :]
        quilts.edit(quilt.path, tree, "")

    shutil.copytree(quilt.folder.parent, tmp_path / "other")
    other = Quilt(tmp_path / "other/in/quilt.toml", tmp_path / "other/out")
    change(other)
    assert other.build().is_whole
    change(quilt)
    assert killed_until_done(quilt, Mortal(monkeypatch), 40) > 5
    assert quilt.contents() == other.contents()


def test_a_part_left_beside_the_first_record_of_a_block_is_cleared(unbuilt: Quilt) -> None:
    """Killed before anything of the block was known."""
    left = unbuilt.out / ".underlap/tasks/blocks/house/.applique-abcd.part"
    quilts.put(left, b"half a record")
    assert unbuilt.build().is_whole
    assert parts(unbuilt.out) == []


@pytest.fixture
def begun() -> Iterator[list[subprocess.Popen[bytes]]]:
    """The commands that a test has begun, which may not outlive it."""
    every: list[subprocess.Popen[bytes]] = []
    yield every
    for process in every:
        for pid in family_of(process):
            os.kill(pid, 9)


def family_of(process: subprocess.Popen[bytes]) -> list[int]:
    """The processes of a command's session that are still there."""
    found = []
    for status in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _, _, session = status.read_text().rpartition(")")[2].split()[:4]
        except OSError:
            continue  # It has just ended.
        if int(session) == process.pid and state != "Z":
            found.append(int(status.parent.name))
    return found


@pytest.mark.skipif(sys.platform != "linux", reason="looks for processes in /proc")
def test_the_command_killed_at_any_moment_ends_with_the_same_bytes(
    unbuilt: Quilt, once: Quilt, begun: list[subprocess.Popen[bytes]]
) -> None:
    chance = random.Random(SEED)
    for _ in range(KILLS):
        process = subprocess.Popen(
            quilts.command(unbuilt.path, unbuilt.out, "--jobs", "2"),
            cwd=quilts.ROOT,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        begun.append(process)
        try:
            process.wait(chance.uniform(0.3, 2.0))
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
    done = quilts.run(unbuilt.path, unbuilt.out, "--jobs", "2")
    assert (done.returncode, done.stderr) == (0, "")
    assert unbuilt.contents() == once.contents()


@pytest.mark.skipif(sys.platform != "linux", reason="looks for processes in /proc")
def test_the_processes_of_a_command_that_was_killed_end_too(
    unbuilt: Quilt, begun: list[subprocess.Popen[bytes]]
) -> None:
    process = subprocess.Popen(
        quilts.command(unbuilt.path, unbuilt.out, "--jobs", "2"),
        cwd=quilts.ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    begun.append(process)
    until = time.monotonic() + 60
    while len(family_of(process)) < 4 and process.poll() is None and time.monotonic() < until:
        time.sleep(0.02)
    process.kill()
    process.wait()
    until = time.monotonic() + 10
    while family_of(process) and time.monotonic() < until:
        time.sleep(0.1)
    assert family_of(process) == []
