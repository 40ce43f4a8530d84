"""The folders that results are written into: one run at a time, and nothing left of a killed one.

The lock is on the folder itself, so that nothing of it can be seen, and the system lets go of it
when the process ends, even if it is killed. Whoever holds a folder therefore knows that no living
run is at the part files that lie in it.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import sys
import time
from collections.abc import Iterable, Iterator
from pathlib import Path

from applique.errors import InputError, OutputError

PART_PREFIX, PART_SUFFIX = ".applique-", ".part"
"""How the names of files begin and end that are not yet in their place."""

_PART = re.compile(r"\.applique-[a-z0-9_]+\.part")

LONGEST_WAIT_S = 30.0
"""Another run holds a folder only while it writes: well under a second, but for a slow disk."""

_LOOKED_AGAIN_S = 0.01

_NEVER_FLUSHED = {errno.EINVAL, errno.EBADF, errno.ENOTSUP, errno.EACCES, errno.EPERM}
"""What systems answer whose folders can't be flushed."""

_ROOM = "make room there and run it again"
_ELSEWHERE = "give a place that you may write to"
_REMEDIES = {
    errno.ENOSPC: _ROOM,
    errno.EDQUOT: _ROOM,
    errno.EFBIG: _ROOM,
    errno.EACCES: _ELSEWHERE,
    errno.EPERM: _ELSEWHERE,
    errno.EROFS: _ELSEWHERE,
}


def refused(path: Path, problem: Exception) -> OutputError:
    """What the user is told when the system won't have something written."""
    number = problem.errno if isinstance(problem, OSError) else None
    reason = (problem.strerror if isinstance(problem, OSError) else None) or str(problem)
    remedy = _REMEDIES.get(number or 0, "give another place")
    return OutputError(f"{path}: can't be written ({reason}); {remedy}")


@contextlib.contextmanager
def held(folders: Iterable[Path]) -> Iterator[list[Path]]:
    """Keep other runs from writing into some folders; gives those that are to be flushed when all
    is in place.

    Folders that are not there are made, and taken away again if the work fails. What runs that
    were killed have left of unfinished files is removed. Where the system has no locks for a
    folder, on some network disks, it is used all the same and nothing in it is removed. Raises
    OutputError if a folder can't be made, or another run is not done within LONGEST_WAIT_S.
    """
    made: list[Path] = []
    locks: dict[Path, int] = {}
    try:
        wanted = sorted(set(folders))
        for folder in wanted:
            _make(folder, made)
        end = time.monotonic() + LONGEST_WAIT_S
        for folder in _each_once(wanted):
            _lock_into(locks, folder, made, end)
        for folder in locks:
            _clear(folder)
        yield [*wanted, *(new.parent for new in made)]
    except BaseException:
        for folder in locks:
            _clear(folder)
        for new in reversed(made):
            with contextlib.suppress(OSError):
                new.rmdir()
        raise
    finally:
        for handle in locks.values():
            os.close(handle)


def clear(folders: Iterable[Path]) -> None:
    """Remove what runs that were killed have left of unfinished files in some folders, which must
    be there. Raises OutputError if another run goes on writing there."""
    with held(folders):
        pass


def flush(folders: Iterable[Path]) -> None:
    """Have it on the disk which files some folders have. Raises OutputError if the disk fails."""
    if sys.platform == "win32":  # Folders can't be opened there.
        return
    for folder in dict.fromkeys(folders):
        try:
            handle = os.open(folder, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)
        except OSError as problem:
            if problem.errno not in _NEVER_FLUSHED:
                raise refused(folder, problem) from None


def _make(folder: Path, made: list[Path]) -> None:
    """Make a folder and those above it; what was not there is added to `made`, outermost first."""
    missing = []
    try:
        while not folder.exists():
            missing.append(folder)
            folder = folder.parent
        for new in reversed(missing):
            new.mkdir(exist_ok=True)
            made.append(new)
    except OSError as problem:
        raise refused(missing[0] if missing else folder, problem) from None


def _each_once(folders: Iterable[Path]) -> list[Path]:
    """Folders under one name each, in an order that is the same for every run: so that no two of
    them wait for each other."""
    named: dict[tuple[int, int], Path] = {}
    for folder in folders:
        try:
            named.setdefault(_identity(folder.stat()), folder)
        except OSError as problem:
            raise refused(folder, problem) from None
    return [folder for _, folder in sorted(named.items())]


def _identity(found: os.stat_result) -> tuple[int, int]:
    return found.st_dev, found.st_ino


def _lock_into(locks: dict[Path, int], folder: Path, made: list[Path], end: float) -> None:
    """Take the lock of a folder, and note it, unless there is none to be had."""
    while True:
        try:
            handle = _locked(folder)
        except FileNotFoundError:  # A run that failed has taken it away again.
            _make(folder, made)
        except BlockingIOError:
            if time.monotonic() >= end:
                text = "another run is writing there; wait until it is done and run this again"
                raise OutputError(f"{folder}: {text}") from None
            time.sleep(_LOOKED_AGAIN_S)
        except OSError:
            return
        else:
            locks[folder] = handle
            return


if sys.platform == "win32":

    def _locked(folder: Path) -> int:
        """The handle of a folder's lock, a file that is gone when the handle is closed. Raises
        BlockingIOError while another run has it, another OSError if there are no locks."""
        import msvcrt

        path = folder / f"{PART_PREFIX}lock"
        try:
            handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_TEMPORARY)
        except PermissionError:  # It is on its way out, or may not be made at all.
            raise BlockingIOError if path.exists() else OSError from None
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            os.close(handle)
            raise BlockingIOError from None
        return handle

else:

    def _locked(folder: Path) -> int:
        """The handle of a folder that is locked by it. Raises BlockingIOError while another run has
        it, FileNotFoundError if it is gone, another OSError if there are no locks."""
        import fcntl

        handle = os.open(folder, os.O_RDONLY)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if _identity(os.fstat(handle)) != _identity(folder.stat()):
                raise FileNotFoundError
        except BaseException:
            os.close(handle)
            raise
        return handle


def _clear(folder: Path) -> None:
    """Remove the part files of a folder that is held. A file that could not have been left by a run
    of ours, a link or a folder, stays."""
    with contextlib.suppress(OSError):
        with os.scandir(folder) as entries:
            named = [entry for entry in entries if _PART.fullmatch(entry.name)]
            parts = [Path(entry) for entry in named if entry.is_file(follow_symlinks=False)]
        for part in parts:
            part.unlink(missing_ok=True)


def resolved(path: Path) -> Path:
    """A path without links; one in a circle stays as it is. Raises InputError for what no file can
    be called."""
    try:
        return Path(os.path.realpath(path))
    except ValueError:
        raise InputError(f"{path}: can't be opened; check its name") from None
