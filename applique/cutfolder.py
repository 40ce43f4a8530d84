"""The folder in which cut sheets are put, and what an earlier run has left there."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from pathlib import Path

from applique.cutsheets.files import AGAIN
from applique.cutting.record import RECORD
from applique.errors import InputError, OutputError
from applique.files import leftovers_told, read_plain
from applique.report import Finding


def check_folder(folder: Path) -> None:
    """Raise OutputError if files can't be put into a folder of that name because it is a file."""
    if folder.exists() and not folder.is_dir():
        raise OutputError(f"{folder}: is a file; give the name of a folder")


def kept_nestings(folder: Path) -> Mapping[str, object]:
    """The records of an earlier nesting in a folder; none where there is none that can be read."""
    try:
        found = json.loads(read_plain(folder / RECORD, _LARGEST_RECORD, "a record of a nesting"))
    except (InputError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


_LARGEST_RECORD = 20_000_000
"""Bytes. A piece takes some 100, so this is enough for 200,000 pieces."""


def leftovers_of(folder: Path, files: Iterable[str]) -> list[Finding]:
    """A warning if sheets of an earlier run lie beside the files just written, given by their
    names: they are easily cut again."""
    names = list(files)
    again = bool(names) and all(AGAIN in name for name in names)
    which = AGAIN if again else f"(?!{AGAIN})"
    pattern = re.compile(which + r".+-\d+\.(svg|dxf|pdf)")
    return leftovers_told(folder, names, pattern, "sheets of another run")
