"""Machine files as a command's input."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from applique.errors import InputError, UsageError

if TYPE_CHECKING:
    from applique.export.reading import Reading


def is_drawing(path: Path) -> bool:
    """Whether a path is that of a drawing, by its suffix."""
    return path.suffix.lower() in ("", ".svg")


def read_machine_file(path: Path) -> Reading:
    """What a machine file holds; raises UsageError for a suffix that none has, and InputError,
    with the file's name, if it can't be read."""
    if is_drawing(path):
        raise UsageError(
            f"{path.name}: is no machine file by its suffix; a layered block is looked into with "
            "`applique proof`"
        )
    # The format library is slow to load.
    from applique.export.reading import LARGEST_BYTES, read_machine

    try:
        with path.open("rb") as stream:
            data = stream.read(LARGEST_BYTES + 1)
    except OSError:
        reason = "is a folder" if path.is_dir() else "can't be opened; check its name"
        raise InputError(f"{path}: {reason}") from None
    try:
        return read_machine(data, path.suffix)
    except InputError as problem:
        raise InputError(f"{path}: {problem}") from None
    except UsageError as problem:
        raise UsageError(f"{path.name}: {problem}") from None
