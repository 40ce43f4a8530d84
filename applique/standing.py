"""A file as it stood when something began to be made from it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from applique.errors import OutputError


@dataclass(frozen=True, eq=False)
class Standing:
    """What stood in a file; None if it was not there, or could not be read."""

    path: Path
    data: bytes | None

    def check(self) -> None:
        """Raise OutputError if something else stands there now: somebody's work would be lost."""
        if _content(self.path) != self.data:
            raise OutputError(
                f"{self.path}: was saved by somebody else meanwhile and is left as it is; run this "
                "again"
            )


def standing(path: Path) -> Standing:
    """A file as it stands now. To be called before it is read: what comes between is noticed."""
    return Standing(path, _content(path))


_LARGEST = 400_000_000
"""Bytes. What is larger is refused when it is read, and nothing is made from it."""


def _content(path: Path) -> bytes | None:
    """What a plain file holds: a pipe or a device may have no end."""
    try:
        is_read = path.is_file() and path.stat().st_size <= _LARGEST
        return path.read_bytes() if is_read else None
    except OSError:
        return None
