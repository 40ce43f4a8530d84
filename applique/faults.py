"""Faults of our own, told in one sentence that names a file with all that is needed to mend them.

What the user meets otherwise is told by the exceptions of `errors.py`. Whoever works on the project
sets the variable UNDERLAP_TRACEBACK and sees the fault itself instead. What only a fault needs is
imported then: every command imports this.
"""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Sequence
from pathlib import Path

from applique import __version__

EXIT_CODE = 3
"""Of a command that a fault of ours has ended."""

TRACEBACK_VARIABLE = "UNDERLAP_TRACEBACK"
"""Where it is set, faults are raised as they are."""

NO_MEMORY = "the computer's memory is not enough for this; close other programs, or do less at once"

_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)

_NOT_YOURS = "this is a fault of Underlap, not of your work; every file is whole"


def are_raised() -> bool:
    """Whether whoever works on the project wants to see the fault itself."""
    return bool(os.environ.get(TRACEBACK_VARIABLE))


def exit_code_of(fault: Exception) -> int:
    """How a command ends: a want of memory is no fault of ours."""
    return 1 if isinstance(fault, MemoryError) else EXIT_CODE


def sentence_of(fault: Exception, words: Sequence[str]) -> str:
    """What is told of a fault that came of a command's `words`, once its file is written. Where no
    file can be written, the fault's own words stand in for it."""
    if isinstance(fault, MemoryError):
        return NO_MEMORY
    try:
        path = _written(_report(fault, words))
    except Exception:  # A full disk, a folder that is shut: the sentence must be told all the same.
        said = f"{type(fault).__name__}: {fault}"
        return f"{_NOT_YOURS}; send this with what you did: {said}"
    return f"{_NOT_YOURS}; send {path} with what you did"


def _report(fault: Exception, words: Sequence[str]) -> str:
    """The words, what runs in which version, and where it happened."""
    import platform
    import traceback

    trace = "".join(traceback.format_exception(fault))
    versions = (f"{name} {version}" for name, version in sorted(_packages().items()))
    system = f"Python {platform.python_version()} on {platform.platform()}"
    lines = [f"Underlap {__version__}", system, *versions, "", f"words: {list(words)!r}", "", trace]
    return "\n".join(lines)


def _packages() -> dict[str, str]:
    """The versions of the libraries that we need, as far as they are known."""
    from importlib import metadata

    found: dict[str, str] = {}
    with contextlib.suppress(metadata.PackageNotFoundError):
        for need in metadata.requires("underlap") or ():
            name = re.split(r"[^\w.-]", need)[0]
            with contextlib.suppress(metadata.PackageNotFoundError):
                found[name] = metadata.version(name)
    return found


def _written(report: str) -> Path:
    """The file of a report in the folder for what is temporary; the same fault of the same words
    has one file. Raises OSError if it can't be written."""
    import hashlib
    import tempfile

    data = report.encode("utf-8", "backslashreplace")
    folder = Path(tempfile.gettempdir())
    path = folder / f"underlap-fault-{hashlib.sha256(data).hexdigest()[:8]}.txt"
    if path.is_file() and path.read_bytes() == data:
        return path
    try:
        handle = os.open(path, _NEW, 0o600)
    except FileExistsError:
        handle, name = tempfile.mkstemp(".txt", "underlap-fault-", folder)
        path = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
    except OSError:
        path.unlink(missing_ok=True)
        raise
    return path
