"""A process that writes and is killed, and what it may leave behind."""

from __future__ import annotations

import contextlib
import itertools
import mmap
import os
import random
import signal
import time
import warnings
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

LARGEST = 2_000_000
"""Bytes of the largest file: a kill may well come while it is written."""

_POOL = random.Random(1).randbytes(LARGEST)
_HEAD = 40

SINGLE = "single.svg"
SET = ("set.svg", "set.dst", "set.pdf")
NEXT = "next.svg"

WriteAll = Callable[[Mapping[Path, bytes]], None]


def content(name: str, round_: int) -> bytes:
    """What a file holds after so many rounds: of another size each time, and another beginning."""
    chance = random.Random(f"{name} {round_}")
    size = int(LARGEST * chance.random() ** 3)
    return f"{name} {round_}".encode().ljust(_HEAD, b".") + _POOL[:size]


@contextlib.contextmanager
def forked(work: Callable[[], None]) -> Iterator[int]:
    """A process that does something and ends; gives its number. It is killed at the end."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # Threads of numpy don't matter here.
        child = os.fork()
    if child == 0:
        code = 1
        try:
            work()
            code = 0
        finally:
            os._exit(code)
    try:
        yield child
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
        with contextlib.suppress(ChildProcessError):
            os.waitpid(child, 0)


def ended(child: int) -> int:
    """The exit code of a process, when it has ended; its signal, negative."""
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


@dataclass
class Kills:
    """Rounds of writing into a folder, one process after the other, each killed at some moment."""

    folder: Path
    write_all: WriteAll
    round: int = 0
    torn: int = 0
    strays: int = 0

    def __post_init__(self) -> None:
        self._rounds = dict.fromkeys((SINGLE, *SET), 0)
        self.paths = [self.folder / name for name in (SINGLE, *SET)]
        for path in self.paths:
            path.write_bytes(content(path.name, 0))
        self._shared = mmap.mmap(-1, 8)

    def kill(self, delay_s: float) -> None:
        """Let a process write until it is killed, so long after it has begun; see what is left."""
        self._shared[:8] = self.round.to_bytes(8, "little")
        with forked(self._write_on) as child:
            while self._begun() == self.round:
                time.sleep(0.0002)
            time.sleep(delay_s)
            os.kill(child, signal.SIGKILL)
            assert ended(child) == -signal.SIGKILL
        self._look()

    def _begun(self) -> int:
        return int.from_bytes(self._shared[:8], "little")

    def _write_on(self) -> None:
        for number in itertools.count(self.round + 1):
            new = {path: content(path.name, number) for path in self.paths}
            self._shared[:8] = number.to_bytes(8, "little")
            single, *others = self.paths
            self.write_all({single: new[single]})
            self.write_all({path: new[path] for path in others})

    def _look(self) -> None:
        """Count what is neither old nor new; what is there goes on from there."""
        begun = self._begun()
        for path in self.paths:
            old = begun - 1 if begun - 1 > self.round else self._rounds[path.name]
            data = path.read_bytes()
            there = [number for number in (begun, old) if data == content(path.name, number)]
            self.torn += not there
            self._rounds[path.name] = there[0] if there else begun
        self.strays += strays(self.folder) != []
        self.round = begun


def strays(folder: Path) -> list[str]:
    """What lies in a folder of kills that nobody asked for."""
    return sorted({path.name for path in folder.iterdir()} - {SINGLE, *SET, NEXT})
