"""Tasks are done in their order, once, and what fails stops nothing else."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest

from applique.building.folder import BuildFolder
from applique.building.running import Later, Outcome, Run
from applique.building.task import Task
from applique.building.workers import Workers
from tests.building.tasks import task


class Watch:
    def __init__(self) -> None:
        self.expected = 0
        self.begun: list[str] = []
        self.ended: list[tuple[str, str]] = []

    def expect(self, count: int) -> None:
        self.expected += count

    def begin(self, task: Task) -> None:
        self.begun.append(task.name)

    def end(self, outcome: Outcome) -> None:
        self.ended.append((outcome.task.name, outcome.how))


def done(folder: Path, *tasks: Task, later: tuple[Later, ...] = (), jobs: int = 1) -> dict:
    with Workers(jobs) as workers:
        return Run(BuildFolder(folder), workers, Watch()).do(tasks, later)


def hows(outcomes: dict[str, Outcome]) -> dict[str, str]:
    return {name: outcome.how for name, outcome in outcomes.items()}


def chain(text: str = "ab") -> tuple[Task, ...]:
    return (
        task("join", "joined", "join", needs=("one", "two"), reads=("1", "2")),
        task("write", ("1", text), "one"),
        task("write", ("2", "cd"), "two"),
    )


@pytest.mark.parametrize("jobs", [1, 2])
def test_a_task_waits_for_what_it_needs(tmp_path: Path, jobs: int) -> None:
    outcomes = done(tmp_path, *chain(), jobs=jobs)
    assert hows(outcomes) == {"one": "built", "two": "built", "join": "built"}
    assert (tmp_path / "joined").read_bytes() == b"ab+cd"


def test_a_second_time_nothing_is_done(tmp_path: Path) -> None:
    done(tmp_path, *chain())
    outcomes = done(tmp_path, *chain())
    assert set(hows(outcomes).values()) == {"kept"}
    assert [it.message for it in outcomes["one"].findings] == ["is there"]
    assert outcomes["one"].facts == {"length": 2}


def test_only_what_changed_is_done_again(tmp_path: Path) -> None:
    done(tmp_path, *chain())
    assert hows(done(tmp_path, *chain("xy"))) == {"one": "built", "two": "kept", "join": "built"}
    assert (tmp_path / "joined").read_bytes() == b"xy+cd"


def test_it_is_the_content_that_counts_and_not_the_time(tmp_path: Path) -> None:
    done(tmp_path, *chain())
    for name in ("1", "2", "joined"):
        (tmp_path / name).write_bytes((tmp_path / name).read_bytes())
    assert set(hows(done(tmp_path, *chain())).values()) == {"kept"}


def test_a_file_that_was_removed_is_made_again(tmp_path: Path) -> None:
    done(tmp_path, *chain())
    (tmp_path / "joined").unlink()
    assert hows(done(tmp_path, *chain()))["join"] == "built"


def test_another_version_of_the_program_does_everything_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done(tmp_path, *chain())
    monkeypatch.setattr("applique.building.running.digest_of_program", lambda: "another")
    assert set(hows(done(tmp_path, *chain())).values()) == {"built"}


@pytest.mark.parametrize("jobs", [1, 2])
def test_what_fails_stops_only_what_needs_it(tmp_path: Path, jobs: int) -> None:
    outcomes = done(
        tmp_path,
        task("refuse", "the sail can't be sewn", "bad"),
        task("join", "j", "after", needs=("bad",)),
        task("write", ("1", "ab"), "good"),
        jobs=jobs,
    )
    assert hows(outcomes) == {"bad": "failed", "after": "left out", "good": "built"}
    assert outcomes["bad"].message == "the sail can't be sewn"
    assert [it.object for it in outcomes["bad"].findings] == ["sail"]
    assert outcomes["after"].message == "bad of a block failed"


@pytest.mark.parametrize("jobs", [1, 2])
def test_a_fault_of_the_program_is_told_and_stops_nothing_else(
    tmp_path: Path, jobs: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    outcomes = done(
        tmp_path, task("stumble", "s", "bad"), task("write", ("1", "ab"), "good"), jobs=jobs
    )
    assert hows(outcomes) == {"bad": "failed", "good": "built"}
    [told] = tmp_path.glob("underlap-fault-*.txt")
    assert f"not of your work; every file is whole; send {told}" in outcomes["bad"].message
    assert "ZeroDivisionError" in told.read_text(encoding="utf-8")


def test_what_follows_is_done_though_something_failed(tmp_path: Path) -> None:
    follower = task(
        "join", "j", "after", needs=("bad", "good"), reads=("1", "missing"), follows=True
    )
    outcomes = done(
        tmp_path, task("refuse", "no", "bad"), task("write", ("1", "ab"), "good"), follower
    )
    assert hows(outcomes)["after"] == "built"
    assert (tmp_path / "j").read_bytes() == b"ab"


def test_tasks_may_come_of_the_facts_of_others(tmp_path: Path) -> None:
    def of_lengths(facts):
        return [
            task("write", (f"n{f['length']}", "x"), f"{name} counted") for name, f in facts.items()
        ]

    later = Later(("one", "bad"), of_lengths)
    outcomes = done(
        tmp_path, task("write", ("1", "abc"), "one"), task("refuse", "no", "bad"), later=(later,)
    )
    assert hows(outcomes)["one counted"] == "built"
    assert (tmp_path / "n3").exists()
    assert "bad counted" not in outcomes


def test_a_task_is_given_what_it_made_before(tmp_path: Path) -> None:
    def counting(version: int) -> Task:
        return task("count", ("c", version), keeps=("c",))

    done(tmp_path, counting(1))
    done(tmp_path, counting(2))
    assert (tmp_path / "c").read_bytes() == b"xx"
    assert hows(done(tmp_path, counting(2))) == {"task": "kept"}
    (tmp_path / "c").write_bytes(b"edited")
    done(tmp_path, counting(3))
    assert (tmp_path / "c").read_bytes() == b"edited"


def test_a_full_disk_is_told_and_stops_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from applique.building import folder
    from applique.errors import OutputError

    put = folder.put_all_in_place

    def full(results):
        if any(path.name == "1" for path in results):
            raise OutputError("1: can't be written; No space left on device")
        put(results)

    monkeypatch.setattr(folder, "put_all_in_place", full)
    outcomes = done(tmp_path, task("write", ("1", "ab"), "one"), task("write", ("2", "ab"), "two"))
    assert hows(outcomes) == {"one": "failed", "two": "built"}
    assert "No space left" in outcomes["one"].message
    monkeypatch.setattr(folder, "put_all_in_place", put)
    assert hows(done(tmp_path, task("write", ("1", "ab"), "one"))) == {"one": "built"}


def test_the_watcher_hears_of_everything(tmp_path: Path) -> None:
    watch = Watch()
    with Workers(1) as workers:
        Run(BuildFolder(tmp_path), workers, watch).do(chain(), ())
    assert watch.expected == 3
    assert watch.begun == ["one", "two", "join"]
    assert watch.ended == [("one", "built"), ("two", "built"), ("join", "built")]
