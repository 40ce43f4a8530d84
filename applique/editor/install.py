"""Putting the extensions where the editor looks for them, and taking them away again."""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass
from pathlib import Path

from applique.editor.asking import editor_program, user_data
from applique.editor.finding import EDITOR_VARIABLE, SANDBOXES
from applique.editor.inx import ID_PREFIX, LAUNCHER, inx_files
from applique.errors import EditorError
from applique.files import put_all_in_place
from applique.resources import extensions_folder
from applique.svg.vocabulary import ROOT_LIBRARY

FOLDER = "underlap"
PATH_FILE = "underlap_python.txt"


@dataclass(frozen=True)
class Status:
    """Where the extensions belong; which of their files are there and up to date, which are there
    but differ, which are missing, which are of another version and no longer belong there; and the
    Python that the launcher starts, None if it is not told."""

    folder: Path
    current: tuple[str, ...]
    stale: tuple[str, ...]
    missing: tuple[str, ...]
    outdated: tuple[str, ...]
    python: Path | None


def user_extensions() -> Path:
    """Our folder among the user's extensions, where the editor itself says they are."""
    return user_data() / "extensions" / FOLDER


def install_symbols(name: str, data: bytes) -> Path:
    """Put a library where the editor's Symbols dialog finds it; returns its place there. Raises
    EditorError or OutputError."""
    path = user_data() / "symbols" / name
    if path.exists() and _MARK not in path.read_bytes():
        raise EditorError(f"{path}: is there already and is no library of ours; rename the library")
    put_all_in_place({path: data})
    return path


_MARK = ROOT_LIBRARY.rpartition("}")[2].encode() + b'="'
"""What the root of a library has."""


def install() -> Path:
    """Write the extensions, and take away what an older version had and this one has not; returns
    their folder. Raises EditorError or OutputError."""
    refuse_sandbox()
    folder = user_extensions()
    shut = write_protected(folder)
    if shut is not None:
        raise EditorError(
            f"{shut}: can't be written, but the extensions belong there; see that you may write to "
            "that folder"
        )
    put_all_in_place({folder / name: data for name, data in _files().items()})
    _take_away(folder, _outdated(folder))
    return folder


def remove() -> tuple[Path, bool]:
    """Take the extensions away; returns their folder and whether anything was there. Files of
    other people in the folder stay. Raises EditorError."""
    folder = user_extensions()
    ours = [name for name in _files() if (folder / name).exists()] + _outdated(folder)
    _take_away(folder, ours)
    return folder, bool(ours)


def status() -> Status:
    """Compare what is installed with what this version would install. Raises EditorError."""
    refuse_sandbox()
    folder = user_extensions()
    current, stale, missing = [], [], []
    for name, data in _files().items():
        path = folder / name
        if not path.is_file():
            missing.append(name)
        elif _content(path) == data or (name == PATH_FILE and starts_this(told_python(folder))):
            current.append(name)
        else:
            stale.append(name)
    return Status(
        folder,
        tuple(current),
        tuple(stale),
        tuple(missing),
        tuple(_outdated(folder)),
        told_python(folder),
    )


def write_protected(folder: Path) -> Path | None:
    """The folder that keeps one from writing into `folder`, which need not be there yet; None if
    one may."""
    there = next(path for path in (folder, *folder.parents) if path.exists())
    return None if os.access(there, os.W_OK) else there


def refuse_sandbox() -> None:
    """Raise EditorError if the editor could not start our Python."""
    kind = editor_program().kind
    if kind in SANDBOXES:
        raise EditorError(
            f"this Inkscape is {SANDBOXES[kind]}, whose extensions can't start Underlap's Python; "
            "install Inkscape from your distribution's packages, or take its AppImage and name it "
            f"in the variable {EDITOR_VARIABLE}"
        )


def _take_away(folder: Path, names: list[str]) -> None:
    """Remove files from a folder, and the folder with the last of them."""
    try:
        for name in names:
            (folder / name).unlink()
        if folder.is_dir() and not any(folder.iterdir()):
            folder.rmdir()
    except OSError as problem:
        raise EditorError(
            f"{folder}: the extensions can't be removed ({problem.strerror}); see that you may "
            "write to that folder"
        ) from None


def _outdated(folder: Path) -> list[str]:
    """Description files of ours that this version has not; a file of the user's, whatever its name,
    has none of our ids."""
    mark = f"<id>{ID_PREFIX}.".encode()
    known = _files()
    return sorted(
        path.name
        for path in folder.glob("underlap_*.inx")
        if path.name not in known and mark in _content(path)
    )


def _content(path: Path) -> bytes:
    """A file's bytes; none if it can't be read."""
    try:
        return path.read_bytes()
    except OSError:
        return b""


def starts_this(python: Path | None) -> bool:
    """Whether a Python is there and of this installation; the same one has several names."""
    return python is not None and python.is_file() and python.parent == Path(sys.executable).parent


def told_python(folder: Path) -> Path | None:
    """The Python that the launcher in a folder starts; None if that is not told there."""
    try:
        text = (folder / PATH_FILE).read_text(encoding="utf-8", errors="surrogateescape")
    except OSError:
        return None
    return Path(text.strip())


def _files() -> dict[str, bytes]:
    """Every file to install, by name."""
    files = inx_files()
    files[LAUNCHER] = (extensions_folder() / LAUNCHER).read_bytes()
    files[PATH_FILE] = f"{sys.executable}\n".encode("utf-8", "surrogateescape")
    return files
