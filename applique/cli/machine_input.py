"""Machine files as a command's input."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from applique.errors import InputError, UsageError
from applique.files import read_plain

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
            "'applique proof'"
        )
    # The format library is slow to load.
    from applique.export.reading import LARGEST_BYTES, read_machine

    data = read_plain(path, LARGEST_BYTES, "a machine file")
    try:
        return read_machine(data, path.suffix)
    except InputError as problem:
        raise InputError(f"{path}: {problem}") from None
    except UsageError as problem:
        raise UsageError(f"{path.name}: {problem}") from None
