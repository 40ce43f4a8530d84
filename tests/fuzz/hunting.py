"""A share of the long run in a process of its own, and what it tells when it is done."""

from __future__ import annotations

import gc
import json
import random
import sys
from collections import Counter
from dataclasses import dataclass, field, replace
from pathlib import Path

from tests.fuzz.running import Outcome, Pool, run_one, seeds

MOST_BYTES = 1_000_000_000
"""An input may make a process grow by so much."""

_NEARLY = 0.8
"""Whoever catches every exception catches that memory ran out, too; so what comes near counts."""

_WRITTEN_EVERY = 1_000

CURRENT = "current"
"""The input that is being read: what is left of a process that died."""


@dataclass
class Tally:
    """What a share of a run came to."""

    reader: str
    executions: int = 0
    seconds: float = 0.0
    kinds: Counter[str] = field(default_factory=Counter)
    crashes: dict[str, str] = field(default_factory=dict)
    slowest_s: float = 0.0
    peak_bytes: int = 0

    def add(self, other: Tally) -> None:
        """Take in another share."""
        self.executions += other.executions
        self.seconds += other.seconds
        self.kinds.update(other.kinds)
        self.crashes = {**other.crashes, **self.crashes}
        self.slowest_s = max(self.slowest_s, other.slowest_s)
        self.peak_bytes = max(self.peak_bytes, other.peak_bytes)


class Recorder:
    """Runs inputs one after another and keeps what is worth it in a folder."""

    def __init__(self, reader: str, folder: Path) -> None:
        self.tally = Tally(reader)
        self.folder = folder
        self._begin_bytes = peak_bytes()
        self._told_of_memory = False
        self._current = (folder / CURRENT).open("wb", buffering=0)

    def run(self, data: bytes) -> Outcome:
        """Give an input to the reader and count how it ended."""
        self._current.seek(0)
        self._current.truncate()
        self._current.write(data)
        outcome = run_one(self.tally.reader, data)
        tally = self.tally
        tally.executions += 1
        tally.seconds += outcome.seconds
        tally.kinds[outcome.kind] += 1
        self._crash(outcome, data)
        if outcome.seconds > tally.slowest_s:
            tally.slowest_s = outcome.seconds
            (self.folder / "slowest").write_bytes(data)
        peak = peak_bytes()
        if peak > self._begin_bytes + MOST_BYTES * _NEARLY and not self._told_of_memory:
            self._told_of_memory = True
            self._crash(replace(outcome, crash="too much memory"), data)
        if peak > tally.peak_bytes:
            tally.peak_bytes = peak
            (self.folder / "largest").write_bytes(data)
        if tally.executions % _WRITTEN_EVERY == 0:
            self.write()
        return outcome

    def _crash(self, outcome: Outcome, data: bytes) -> None:
        crashes = self.tally.crashes
        if outcome.crash and outcome.crash not in crashes:
            crashes[outcome.crash] = keep_crash(self.folder, self.tally.reader, outcome, data)

    def write(self) -> None:
        """Write the tally down."""
        text = json.dumps({**vars(self.tally), "kinds": dict(self.tally.kinds)})
        (self.folder / "tally.json").write_text(text, encoding="utf-8")


def tally_in(folder: Path) -> Tally | None:
    """The tally that a process wrote; None if it died before."""
    try:
        found = json.loads((folder / "tally.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return Tally(**{**found, "kinds": Counter(found["kinds"])})


def keep_crash(folder: Path, reader: str, outcome: Outcome, data: bytes) -> str:
    """Write an input that made a reader crash, and where; returns the file's name."""
    word = "".join(sign if sign.isalnum() else "-" for sign in outcome.crash)[:80]
    path = folder / f"{reader}-{word}"
    path.write_bytes(data)
    path.with_name(f"{path.name}.txt").write_text(outcome.trace, encoding="utf-8")
    return str(path)


def peak_bytes() -> int:
    """The most memory that this process ever had; 0 where the system does not say."""
    if sys.platform == "win32":
        return 0
    import resource

    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit


def limit_memory() -> None:
    """Let this process grow by no more than an input may need, where the system can see to it."""
    if sys.platform != "linux":
        return
    import resource

    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    most = pages * resource.getpagesize() + MOST_BYTES
    resource.setrlimit(resource.RLIMIT_AS, (most, most))


def hunt(reader: str, executions: int, seed: str, folder: Path) -> None:
    """So many executions with inputs of our own mutator."""
    begin = [path.read_bytes() for path in seeds(reader)]
    for data in begin:  # What is loaded late is loaded now, and counts as no input's memory.
        run_one(reader, data)
    recorder = Recorder(reader, folder)
    gc.freeze()  # Modules are no garbage; not to look at them again saves a fifth of the time.
    limit_memory()
    pool = Pool(reader, begin, random.Random(seed))
    for _ in range(executions):
        data = pool.next_input()
        pool.learn(data, recorder.run(data))
    recorder.write()
