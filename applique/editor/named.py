"""Files and folders as a dialog's user names them."""

from __future__ import annotations

import os
from pathlib import Path

from applique.editor.inx import LAUNCHER

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
