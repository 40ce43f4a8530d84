"""One build at a time in a folder."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path

from applique.errors import OutputError
from applique.folders import refused


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Keep other builds out of a folder. The system lets go of the lock when the process ends, even
    if it is killed. Raises OutputError if another build is running there."""
    path = folder / "lock"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
    except OSError as problem:
        raise refused(folder, problem) from None
    try:
        try:
            _lock(handle)
        except OSError:
            text = "another build is running in this folder; wait for it, or give another folder"
            raise OutputError(f"{folder.parent}: {text}") from None
        yield
    finally:
        os.close(handle)


def _lock(handle: int) -> None:
    """Take a lock at once; raises OSError if somebody else has it."""
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
