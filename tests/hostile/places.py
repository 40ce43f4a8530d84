"""Names that lead to no plain file."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

PLACES: dict[str, Callable[[Path], None]] = {
    "nothing there": lambda path: None,
    "folder": lambda path: path.mkdir(),
    "pipe that nobody writes to": lambda path: os.mkfifo(path),
    "device without end": lambda path: path.symlink_to("/dev/zero"),
    "device without a beginning": lambda path: path.symlink_to("/dev/null"),
    "standard input": lambda path: path.symlink_to("/dev/stdin"),
    "terminal": lambda path: path.symlink_to("/dev/tty"),
    "link to itself": lambda path: path.symlink_to(path.name),
    "link to nothing": lambda path: path.symlink_to("gone"),
    "memory of the process": lambda path: path.symlink_to("/proc/self/mem"),
    "hole of a terabyte": lambda path: _hole(path, 10**12),
}
"""Each makes something at a path."""


def _hole(path: Path, size: int) -> None:
    with path.open("wb") as stream:
        stream.truncate(size)
