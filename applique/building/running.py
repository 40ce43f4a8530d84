"""Tasks done in their order, several at once, each only if it is not done already."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import dataclass
from typing import Literal, Protocol

from applique.building.digest import digest_of, digest_of_bytes, digest_of_program
from applique.building.folder import BuildFolder
from applique.building.task import Facts, Failed, Given, Made, Task
from applique.building.workers import Workers, done_here
from applique.errors import OutputError
from applique.report import Finding, errors_in

How = Literal["kept", "built", "failed", "left out"]
"""What became of a task: nothing had changed, it was made, it could not be, or it had to be left
out because something it needs could not."""


@dataclass(frozen=True, eq=False)
class Outcome:
    """What became of a task, why if it failed, and what deserves a second look."""

    task: Task
    how: How
    message: str = ""
    findings: tuple[Finding, ...] = ()
    facts: Facts | None = None


@dataclass(frozen=True, eq=False)
class Later:
    """Tasks that are known only when others are settled: `tasks` makes them of the facts of those
    that went well."""

    needs: tuple[str, ...]
    tasks: Callable[[Mapping[str, Facts]], Sequence[Task]]


class Watcher(Protocol):
    """Hears of a build as it goes on."""

    def expect(self, count: int) -> None:
        """So many more tasks are known now."""

    def begin(self, task: Task) -> None:
        """A task is being made."""

    def end(self, outcome: Outcome) -> None:
        """A task is settled."""


class Run:
    """A build as it goes on; `do` is all there is to it."""

    def __init__(self, folder: BuildFolder, workers: Workers, watcher: Watcher) -> None:
        self._folder = folder
        self._workers = workers
        self._watcher = watcher
        self._waiting: dict[str, Task] = {}
        self._later: list[Later] = []
        self._settled: dict[str, Outcome] = {}
        self._running: dict[Future[Made | Failed], tuple[Task, str]] = {}
        self._own: tuple[Task, str, Given] | None = None

    def do(self, tasks: Iterable[Task], later: Iterable[Later]) -> dict[str, Outcome]:
        """Do all tasks, and those that come of them; returns what became of each, by name."""
        self._add(tasks)
        self._later = list(later)
        while self._waiting or self._running or self._later:
            self._add_later()
            begun = self._begin_ready()
            if self._running:
                self._collect()
            elif not begun and not self._later_is_ready():
                break  # What still waits, waits for what is not there.
        return self._settled

    def _add(self, tasks: Iterable[Task]) -> None:
        new = list(tasks)
        self._waiting.update({task.name: task for task in new})
        if new:
            self._watcher.expect(len(new))

    def _later_is_ready(self) -> bool:
        return any(self._are_settled(later.needs) for later in self._later)

    def _add_later(self) -> None:
        for later in list(self._later):
            if self._are_settled(later.needs):
                self._later.remove(later)
                self._add(later.tasks(self._facts(later.needs)))

    def _are_settled(self, names: Sequence[str]) -> bool:
        return all(name in self._settled for name in names)

    def _facts(self, names: Sequence[str]) -> dict[str, Facts]:
        """The facts of the tasks that went well."""
        found = {name: self._settled[name].facts for name in names if name in self._settled}
        return {name: facts for name, facts in found.items() if facts is not None}

    def _begin_ready(self) -> int:
        """Begin, or settle, every task that can be; returns how many."""
        count = 0
        for task in list(self._waiting.values()):
            if len(self._running) >= self._workers.count:
                break
            if self._are_settled(task.needs):
                del self._waiting[task.name]
                self._begin(task)
                count += 1
        if self._own is not None:
            task, key, given = self._own
            self._own = None
            self._finish(task, key, done_here(task.work, task.asked, given))
        return count

    def _begin(self, task: Task) -> None:
        broken = [name for name in task.needs if self._settled[name].facts is None]
        if broken and not task.follows:
            self._settle(Outcome(task, "left out", f"{self._settled[broken[0]].task.doing} failed"))
            return
        facts = self._facts(task.needs)
        files = self._files(task, facts)
        key = digest_of(digest_of_program(), task.work, task.asked, files, facts)
        record = self._folder.record(task.name)
        if record is not None and self._folder.is_done(record, key):
            self._settle(Outcome(task, "kept", "", record.findings, record.facts))
            return
        try:
            read = {name: self._folder.read(name) for name in files}
            others = [name for name, data in read.items() if digest_of_bytes(data) != files[name]]
            if others:
                self._settle(Outcome(task, "left out", f"{others[0]} is not what was built"))
                return
            given = Given(read, facts, self._folder.earlier(task.name, task.keeps))
        except OutputError as problem:
            self._settle(Outcome(task, "failed", str(problem)))
            return
        self._watcher.begin(task)
        if self._workers.count == 1:
            self._finish(task, key, done_here(task.work, task.asked, given))
        elif self._workers.are_begun:
            self._running[self._workers.begin(task, given)] = (task, key)
        else:
            # Until the processes are there, the first task is done here.
            self._workers.start()
            self._own = (task, key, given)

    def _files(self, task: Task, facts: Mapping[str, Facts]) -> dict[str, str]:
        """The files a task reads, of those of its needs that went well, with their digests."""
        there: dict[str, str] = {}
        for name in facts:
            record = self._folder.record(name)
            there.update({} if record is None else record.files)
        return {name: there[name] for name in task.reads if name in there}

    def _collect(self) -> None:
        """Wait for at least one task, and settle all that are done."""
        for future in wait(self._running, return_when=FIRST_COMPLETED).done:
            task, key = self._running.pop(future)
            self._finish(task, key, self._workers.result(future))

    def _finish(self, task: Task, key: str, result: Made | Failed) -> None:
        if isinstance(result, Failed):
            self._settle(Outcome(task, "failed", result.message, result.findings))
            return
        try:
            trouble = self._folder.put(task.name, key, result)
        except OutputError as problem:
            self._settle(Outcome(task, "failed", str(problem), result.findings))
            return
        findings = (*result.findings, *trouble)
        how: How = "failed" if errors_in(trouble) else "built"
        message = "some of its files are not ours to write over" if errors_in(trouble) else ""
        self._settle(Outcome(task, how, message, findings, result.facts))

    def _settle(self, outcome: Outcome) -> None:
        self._settled[outcome.task.name] = outcome
        self._watcher.end(outcome)
