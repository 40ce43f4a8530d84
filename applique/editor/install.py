"""Putting the extensions where the editor looks for them, and taking them away again."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from applique.editor.inx import LAUNCHER, inx_files
from applique.errors import EditorError
from applique.files import put_all_in_place
from applique.resources import extensions_folder
from applique.svg.vocabulary import ROOT_LIBRARY

EDITOR_VARIABLE = "UNDERLAP_EDITOR"
"""Names the editor's program where it is not found by itself."""

FOLDER = "underlap"
PATH_FILE = "underlap_python.txt"
_ANSWER_SECONDS = 30


@dataclass(frozen=True)
class Status:
    """Where the extensions belong; which of their files are there and up to date, which are there
    but differ, which are missing."""

    folder: Path
    current: tuple[str, ...]
    stale: tuple[str, ...]
    missing: tuple[str, ...]


def editor_program() -> str:
    """The editor's program; raises EditorError if it can't be found."""
    named = os.environ.get(EDITOR_VARIABLE)
    if named:
        return named
    found = shutil.which("inkscape")
    places = [
        Path("/Applications/Inkscape.app/Contents/MacOS/inkscape"),
        Path(os.environ.get("PROGRAMFILES", "C:/Program Files")) / "Inkscape/bin/inkscape.exe",
    ]
    for place in places:
        if found is None and place.is_file():
            found = str(place)
    if found is None:
        raise EditorError(
            "Inkscape was not found; install it, or name its program in the variable "
            f"{EDITOR_VARIABLE}"
        )
    return found


def user_extensions() -> Path:
    """Our folder among the user's extensions, where the editor itself says they are."""
    return _user_data() / "extensions" / FOLDER


def install_symbols(name: str, data: bytes) -> Path:
    """Put a library where the editor's Symbols dialog finds it; returns its place there. Raises
    EditorError or OutputError."""
    path = _user_data() / "symbols" / name
    if path.exists() and _MARK not in path.read_bytes():
        raise EditorError(f"{path}: is there already and is no library of ours; rename the library")
    put_all_in_place({path: data})
    return path


_MARK = ROOT_LIBRARY.rpartition("}")[2].encode() + b'="'
"""What the root of a library has."""


def _user_data() -> Path:
    """The user's folder, as the editor itself tells it."""
    program = editor_program()
    try:
        answer = subprocess.run(
            [program, "--user-data-directory"],
            capture_output=True,
            text=True,
            timeout=_ANSWER_SECONDS,
            check=True,
        )
    except (OSError, subprocess.SubprocessError):
        raise EditorError(
            f"{program} did not say where its own files belong; name Inkscape's program in the "
            f"variable {EDITOR_VARIABLE}"
        ) from None
    lines = [line.strip() for line in answer.stdout.splitlines() if line.strip()]
    if not lines:
        raise EditorError(f"{program} did not say where its own files belong; is it Inkscape?")
    return Path(lines[-1])


def install() -> Path:
    """Write the extensions; returns their folder. Raises EditorError or OutputError."""
    folder = user_extensions()
    put_all_in_place({folder / name: data for name, data in _files().items()})
    return folder


def remove() -> tuple[Path, bool]:
    """Take the extensions away; returns their folder and whether anything was there. Files of
    other people in the folder stay."""
    folder = user_extensions()
    present = [folder / name for name in _files() if (folder / name).exists()]
    for path in present:
        path.unlink()
    if folder.is_dir() and not any(folder.iterdir()):
        folder.rmdir()
    return folder, bool(present)


def status() -> Status:
    """Compare what is installed with what this version would install."""
    folder = user_extensions()
    current, stale, missing = [], [], []
    for name, data in _files().items():
        path = folder / name
        if not path.is_file():
            missing.append(name)
        elif path.read_bytes() == data:
            current.append(name)
        else:
            stale.append(name)
    return Status(folder, tuple(current), tuple(stale), tuple(missing))


def _files() -> dict[str, bytes]:
    """Every file to install, by name."""
    files = inx_files()
    files[LAUNCHER] = (extensions_folder() / LAUNCHER).read_bytes()
    files[PATH_FILE] = f"{sys.executable}\n".encode()
    return files
