"""What is installed, what is missing, and how to mend it: what `applique doctor` tells."""

from __future__ import annotations

import importlib.metadata
import platform
import sys
import tempfile
import webbrowser
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from applique import __version__
from applique.editor.asking import editor_program, editor_version, system_data
from applique.editor.dependencies import Dependency, read_dependencies
from applique.editor.finding import SANDBOXES
from applique.editor.install import Status, refuse_sandbox, starts_this, status, write_protected
from applique.errors import EditorError
from applique.nesting.solver import is_there as solver_is_there

PACKAGE = "underlap"
OLDEST, NEWEST = (1, 2), (1, 4)
"""Versions of the editor that the extensions are tested with, by its schemas or itself."""

_AGAIN = "install Underlap anew"
_INSTALL = "run 'applique editor install'"


@dataclass(frozen=True)
class Line:
    """One thing that was looked at: its name, what is to be said of it, and what to do, "" where
    all is well."""

    name: str
    told: str
    remedy: str = ""


def examine() -> list[Line]:
    """Everything that was looked at, in the order in which it is told."""
    return [
        Line("Underlap", f"{__version__} in {Path(__file__).resolve().parents[1]}"),
        Line("Python", f"{platform.python_version()}, {sys.executable}"),
        *_packages(),
        *_editor(),
        _temporary_files(),
        _browser(),
    ]


def _packages() -> list[Line]:
    """A line a package."""
    try:
        requirements = importlib.metadata.requires(PACKAGE) or []
    except importlib.metadata.PackageNotFoundError:
        return [Line("packages", "unknown, because Underlap itself is not installed", _AGAIN)]
    return [_package(found) for found in read_dependencies(requirements, _version_of)]


def _package(found: Dependency) -> Line:
    if found.name == "spyrrow" and not solver_is_there():
        return Line(found.name, "not there: the plain packer nests alone, without the solver")
    if found.is_met:
        return Line(found.name, f"{found.version} (asked for: {found.wanted or 'any'})")
    told = f"{found.version or 'missing'} (asked for: {found.wanted or 'any'})"
    return Line(found.name, told, "" if found.optional else _AGAIN)


def _version_of(name: str) -> str:
    try:
        return importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return ""


def _editor() -> list[Line]:
    """The editor and all that lies with it; one line if there is none."""
    try:
        lines = [_program(), _inkex()]
        if editor_program().kind in SANDBOXES:
            return lines
        found = status()
        return [*lines, _extensions(found), _user_folder(found.folder)]
    except EditorError as problem:
        return [Line("Inkscape", "not found, or it does not answer", str(problem))]


def _program() -> Line:
    program, version = editor_program(), editor_version()
    told = f"{'.'.join(map(str, version))}, {program.path}"
    try:
        refuse_sandbox()
    except EditorError as problem:
        return Line("Inkscape", f"{told}, {SANDBOXES[program.kind]}", str(problem))
    if version[:2] < OLDEST:
        return Line("Inkscape", f"{told}, too old", "install Inkscape 1.2 or newer")
    if version[:2] > NEWEST:
        return Line("Inkscape", f"{told}, newer than those tried; it may well work")
    return Line("Inkscape", told)


def _inkex() -> Line:
    """The editor's Python module: our own where there is one, else the editor's."""
    if find_spec("inkex") is not None:
        return Line("inkex", f"{_version_of('inkex') or 'there'}, Underlap's own")
    folder = system_data() / "extensions"
    if (folder / "inkex").is_dir():
        return Line("inkex", f"Inkscape's own in {folder}")
    return Line("inkex", "missing", "install Inkscape anew, with the extensions that come with it")


def _extensions(found: Status) -> Line:
    if not found.current and not found.stale:
        return Line("extensions", "not installed", _INSTALL)
    told = f"in {found.folder}"
    if found.python is None or not found.python.is_file():
        return Line("extensions", f"{told}, but the Python they start is gone", _INSTALL)
    if not starts_this(found.python):
        told += f", but they start another installation, {found.python}"
        return Line("extensions", told, f"{_INSTALL} if this one is to be used")
    if found.stale or found.missing or found.outdated:
        return Line("extensions", f"{told}, of another version", _INSTALL)
    return Line("extensions", f"{told}, up to date")


def _user_folder(extensions: Path) -> Line:
    """Inkscape's folder for what belongs to the user, where our extensions go."""
    folder, shut = extensions.parents[1], write_protected(extensions)
    if shut is None:
        return Line("user folder", f"{folder}, can be written")
    return Line("user folder", f"{folder}, can't be written", f"see that you may write to {shut}")


def _temporary_files() -> Line:
    try:
        with tempfile.TemporaryFile() as stream:
            stream.write(b"x")
    except OSError as problem:
        told = f"can't be written ({problem.strerror or problem})"
        return Line("temporary files", told, "make room in the folder for temporary files")
    return Line("temporary files", f"in {tempfile.gettempdir()}, can be written")


def _browser() -> Line:
    """Only for convenience: a page can always be opened by hand."""
    try:
        webbrowser.get()
    except webbrowser.Error:
        return Line("browser", "none found: pages have to be opened by hand")
    return Line("browser", "there")
