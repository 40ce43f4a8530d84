"""Strips packed by the solver library, in processes that can be stopped."""

from __future__ import annotations

import importlib.util
import json
import queue
import subprocess
import sys
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import resources

import numpy as np

from applique.cutting.nested import Placement

_NO_WINDOW: int = getattr(subprocess, "CREATE_NO_WINDOW", 0)
_AT_ONCE_S = 0.0001


@dataclass(frozen=True, eq=False)
class Item:
    """A simple polygon, (n, 2) array of mm, and the angles it may be turned by; None for all."""

    points: np.ndarray
    angles: tuple[float, ...] | None


@dataclass(frozen=True)
class Effort:
    """How long a strip is worked on, in whole seconds, by how many threads, from which seed."""

    exploring_s: int
    compressing_s: int
    workers: int
    seed: int


@dataclass(frozen=True)
class Layout:
    """A strip's length and where its items lie; their `index` is the place in the list given."""

    length_mm: float
    placements: tuple[Placement, ...]


class SolverFailedError(Exception):
    """The solver has ended without a layout, where there must be one."""


def is_there() -> bool:
    """Whether the solver library is installed on this platform."""
    return importlib.util.find_spec("spyrrow") is not None


class Run:
    """One process at work on one strip."""

    def __init__(self, items: Sequence[Item], height_mm: float, effort: Effort) -> None:
        """Start it. The items must be simple and fit into the strip."""
        worker = resources.files("applique.nesting") / "worker.py"
        self._process = subprocess.Popen(
            [sys.executable, "-I", "-X", "utf8", str(worker)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
            creationflags=_NO_WINDOW,
        )
        self._lines: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        self.best: Layout | None = None
        self.failed = False
        """Whether it has ended by itself without a layout."""
        self._ended = False
        self._send(json.dumps(_job(items, height_mm, effort)))

    def look(self, wait_s: float) -> bool:
        """Take in what has been found, waiting up to `wait_s` for news; False once it has ended."""
        while not self._ended:
            try:
                line = self._lines.get(timeout=wait_s)
            except queue.Empty:
                return True
            self._take(line)
            wait_s = _AT_ONCE_S
        return False

    def stop(self) -> None:
        """End it at once; what it has found remains."""
        self._ended = True
        self._process.kill()
        self._process.wait()
        self._reader.join()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                pipe.close()

    def _send(self, line: str) -> None:
        pipe = self._process.stdin
        if pipe is not None:
            try:
                pipe.write(line + "\n")
                pipe.close()
            except OSError:  # It has failed already, and says nothing.
                return

    def _read(self) -> None:
        """Pass on what the process writes; an empty line when it writes no more."""
        if self._process.stdout is not None:
            for line in self._process.stdout:
                self._lines.put(line)
        self._lines.put("")

    def _take(self, line: str) -> None:
        if not line:
            self.failed = self.best is None
            self.stop()
            return
        layout = _layout_in(line)
        if layout is None:  # It was cut off in the middle of a line.
            self.failed = self.best is None
            self.stop()
        elif self.best is None or layout.length_mm <= self.best.length_mm:
            self.best = layout


def _layout_in(line: str) -> Layout | None:
    """The layout that a line tells; None if it is not whole."""
    try:
        told = json.loads(line)
        placements = sorted((Placement(*each) for each in told["placed"]), key=_by_index)
        return Layout(float(told["width"]), tuple(placements))
    except (ValueError, KeyError, TypeError):
        return None


def _by_index(placement: Placement) -> int:
    return placement.index


def _job(items: Sequence[Item], height_mm: float, effort: Effort) -> dict[str, object]:
    return {
        "height": height_mm,
        "items": [[item.points.tolist(), item.angles] for item in items],
        "seconds": [effort.exploring_s, effort.compressing_s],
        "workers": effort.workers,
        "seed": effort.seed,
    }
