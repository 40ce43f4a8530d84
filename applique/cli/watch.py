"""A long search on the command line: progress is shown, time is kept, Ctrl-C ends it cleanly."""

from __future__ import annotations

import shutil
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

Describe = Callable[[Any], str]
"""Says in a few words what a search has found so far and is doing."""

_SHOWN_AFTER_S = 1.0
_SHOWN_EVERY_S = 0.5


class _Watch:
    """Says whether a search may go on, and shows on a terminal how far it is."""

    def __init__(self, most_seconds: float, describe: Describe) -> None:
        self._describe = describe
        self._most_seconds = most_seconds
        self._begun = time.monotonic()
        self._shown = self._begun + _SHOWN_AFTER_S - _SHOWN_EVERY_S
        self._width = 0
        self.interrupted = False

    def __call__(self, progress: Any) -> bool:
        """Hear how far the search is."""
        now = time.monotonic()
        if now - self._shown >= _SHOWN_EVERY_S:
            self._shown = now
            hint = "ending" if self.interrupted else "Ctrl-C takes the best so far"
            self._show(f"{self._describe(progress)}, {now - self._begun:.0f} s ({hint})")
        return not self.interrupted and now - self._begun < self._most_seconds

    def interrupt(self, number: int, frame: FrameType | None) -> None:
        """What Ctrl-C does while it watches; a second time it stops the program as ever."""
        if self.interrupted:
            raise KeyboardInterrupt
        self.interrupted = True

    def clear(self) -> None:
        """Take the progress line away."""
        if self._width:
            self._show("")
            sys.stderr.write("\r")
            sys.stderr.flush()

    def _show(self, text: str) -> None:
        if sys.stderr is None or not sys.stderr.isatty():
            return
        text = text[: shutil.get_terminal_size().columns - 1]
        sys.stderr.write("\r" + text.ljust(self._width))
        sys.stderr.flush()
        self._width = len(text)


@contextmanager
def watched(most_seconds: float, describe: Describe) -> Iterator[Callable[[Any], bool]]:
    """Give a search something to tell how far it is; it ends after so many seconds, or at Ctrl-C,
    with the best it has."""
    watch = _Watch(most_seconds, describe)
    before: Any = None
    may_catch = threading.current_thread() is threading.main_thread()
    if may_catch:
        before = signal.signal(signal.SIGINT, watch.interrupt)
    try:
        yield watch
    finally:
        if may_catch:
            signal.signal(signal.SIGINT, before)
        watch.clear()
