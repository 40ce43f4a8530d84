"""Files and folders as a dialog's user names them."""

from __future__ import annotations

import os
from pathlib import Path

from applique.editor.inx import LAUNCHER
from applique.errors import UsageError

DOCUMENT_VARIABLE = "DOCUMENT_PATH"
"""The editor sets it to the path of the drawing, and to nothing if that was never saved."""


def drawing_path() -> Path | None:
    """The file of the drawing; None if it was never saved."""
    text = os.environ.get(DOCUMENT_VARIABLE, "")
    return Path(text) if text else None


def as_named(text: str) -> Path:
    """A path as it was typed. One that does not begin at the top of a disk reaches us as if it lay
    in the folder of our extensions, which nobody means."""
    path = Path(text)
    for around in path.parents:
        if path.is_absolute() and (around / LAUNCHER).is_file():
            return path.relative_to(around)
    return path


def beside_drawing(text: str, remedy: str) -> Path:
    """A path as it was typed; one without a place lies beside the drawing. Raises UsageError with
    the remedy, as in "name the file with its folder", where the drawing was never saved."""
    path = as_named(text)
    drawing = drawing_path()
    if path.is_absolute():
        return path
    if drawing is None:
        raise UsageError(f"the drawing was never saved; save it first, or {remedy}")
    return drawing.parent / path


def new_file(text: str, ending: str) -> Path:
    """Where a file goes: as it was typed, or beside the drawing and named after it, with an ending
    as in "-run-sheet.html". Raises UsageError where the drawing was never saved."""
    drawing = drawing_path()
    usual = f"{'drawing' if drawing is None else drawing.stem}{ending}"
    return beside_drawing(text.strip() or usual, "name the file with its folder")
