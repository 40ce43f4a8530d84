"""The processes in which tasks are done."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import traceback
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from importlib import import_module
from types import TracebackType
from typing import Any

from applique import faults
from applique.building.task import Failed, Given, Made, Task
from applique.errors import AppliqueError, InputError
from applique.one_thread import keep_to_one_thread

_MOST_JOBS = 8
"""By default no more processes than this: each takes some 250 MB."""

_SLOW_TO_LOAD = ("applique.building.works.hoopings", "applique.building.works.proof")


def usual_jobs() -> int:
    """How many tasks are done at once unless told."""
    return max(1, min(os.cpu_count() or 1, _MOST_JOBS))


class Workers:
    """So many processes, begun when the first task needs one. To be used with `with`."""

    def __init__(self, count: int) -> None:
        self.count = count
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> Workers:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._pool is None:
            return
        processes = list((self._pool._processes or {}).values())
        self._pool.shutdown(wait=problem is None, cancel_futures=True)
        if problem is not None:
            for process in processes:
                process.terminate()

    @property
    def are_begun(self) -> bool:
        """Whether the processes are there, or on their way."""
        return self._pool is not None

    def start(self) -> None:
        """Begin the processes. What takes long to load is loaded before they part, or by each where
        they don't."""
        self._pool = self._new_pool()
        for number in range(self.count):
            self._pool.submit(import_module, _SLOW_TO_LOAD[number % len(_SLOW_TO_LOAD)])

    def begin(self, task: Task, given: Given) -> Future[Made | Failed]:
        """Have a task done in another process."""
        pool = self._pool or self._new_pool()
        try:
            future = pool.submit(done_here, task.work, task.asked, given)
        except BrokenProcessPool:  # A process was ended from outside; the others go with it.
            pool = self._new_pool()
            future = pool.submit(done_here, task.work, task.asked, given)
        self._pool = pool
        return future

    def result(self, future: Future[Made | Failed]) -> Made | Failed:
        """What came of a task that was begun."""
        try:
            return future.result()
        except BrokenProcessPool:
            text = "its process was ended from outside, perhaps for want of memory; use --jobs 1"
            return Failed(text)

    def _new_pool(self) -> ProcessPoolExecutor:
        keep_to_one_thread()  # The processes share the cores out.
        context = multiprocessing.get_context("fork" if _may_fork() else "spawn")
        return ProcessPoolExecutor(self.count, mp_context=context, initializer=_follow_the_parent)


def done_here(work: str, asked: Any, given: Given) -> Made | Failed:
    """What comes of a task; nothing that goes wrong in it stops others."""
    try:
        made: Made = import_module(work).make(asked, given)
        return made
    except InputError as problem:
        return Failed(str(problem), problem.findings)
    except AppliqueError as problem:
        return Failed(str(problem))
    except Exception as fault:  # The other blocks are still built.
        if faults.are_raised():
            traceback.print_exc()
        return Failed(faults.sentence_of(fault, (work,)))


def _may_fork() -> bool:
    """Whether processes may simply part from this one, with all that it has loaded: on Linux, where
    nothing else runs in it."""
    return sys.platform == "linux" and threading.active_count() == 1


def _follow_the_parent() -> None:
    """Leave Ctrl-C to the process that began this one, and end with it, even if it is killed."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_the_parent, daemon=True).start()


def _end_with_the_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)
