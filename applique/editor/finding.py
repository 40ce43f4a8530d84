"""Where the editor's program is, on three systems, and whether it can start ours.

Pure: what there is of the machine comes in as `Surroundings`, so that every system can be looked at
from every other. Places are those of the editor's own installers and packages; those of Windows,
macOS, snap and flatpak are from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import PurePath, PurePosixPath, PureWindowsPath
from typing import Literal

EDITOR_VARIABLE = "UNDERLAP_EDITOR"
"""Names the editor's program where it is not found by itself."""

Kind = Literal["plain", "snap", "flatpak"]

SANDBOXES: Mapping[Kind, str] = {"snap": "a snap", "flatpak": "a flatpak"}
"""The kinds that can start no program outside themselves, each with its name in a sentence."""

FLATPAK_ID = "org.inkscape.Inkscape"


@dataclass(frozen=True)
class Surroundings:
    """What finding the editor asks of the machine.

    `system` is what `sys.platform` says. `which` finds a program on the path of the shell,
    `is_file` tells whether there is such a file, `resolved` follows links.
    """

    system: str
    variables: Mapping[str, str]
    home: str
    which: Callable[[str], str | None]
    is_file: Callable[[str], bool]
    resolved: Callable[[str], str]


@dataclass(frozen=True)
class Program:
    """The editor's program: its path, and how it was installed."""

    path: str
    kind: Kind


def find_program(around: Surroundings) -> Program | None:
    """The editor, or None. What is named in the variable goes before anything else, and what can
    start a program outside itself before what can't."""
    named = around.variables.get(EDITOR_VARIABLE)
    if named:
        return _program(_on_console(named, around), around)
    found = [_program(path, around) for path in _present(around)]
    free = [program for program in found if program.kind not in SANDBOXES]
    return next(iter([*free, *found]), None)


def _present(around: Surroundings) -> Iterator[str]:
    """The programs that are there, those on the shell's path first."""
    for name in ("inkscape", FLATPAK_ID):
        path = around.which(name)
        if path:
            yield _on_console(path, around)
    yield from filter(around.is_file, map(str, _PLACES.get(around.system, _linux)(around)))


def _on_console(path: str, around: Surroundings) -> str:
    """On Windows the program that answers on a console, which lies beside the one with a window."""
    if around.system != "win32":
        return path
    answering = str(PureWindowsPath(path).with_suffix(".com"))
    return answering if around.is_file(answering) else path


def _linux(around: Surroundings) -> Iterator[PurePath]:
    for folder in ("/usr/bin", "/usr/local/bin", "/snap/bin"):
        yield PurePosixPath(folder, "inkscape")
    for folder in ("/var/lib/flatpak", f"{around.home}/.local/share/flatpak"):
        yield PurePosixPath(folder, "exports/bin", FLATPAK_ID)


def _mac(around: Surroundings) -> Iterator[PurePath]:
    for folder in ("/Applications", f"{around.home}/Applications"):
        yield PurePosixPath(folder, "Inkscape.app/Contents/MacOS/inkscape")


def _windows(around: Surroundings) -> Iterator[PurePath]:
    """The installers' folders, for all users and for one, then the store's alias."""
    folders = [around.variables.get(name) for name in ("PROGRAMW6432", "PROGRAMFILES")]
    local = around.variables.get("LOCALAPPDATA")
    if local:
        folders.append(str(PureWindowsPath(local, "Programs")))
    for folder in filter(None, folders):
        for name in ("inkscape.com", "inkscape.exe"):
            yield PureWindowsPath(folder, "Inkscape", "bin", name)
    if local:
        yield PureWindowsPath(local, "Microsoft", "WindowsApps", "inkscape.exe")


_PLACES: Mapping[str, Callable[[Surroundings], Iterator[PurePath]]] = {
    "darwin": _mac,
    "win32": _windows,
}
"""The usual places by system; every other system is looked at as Linux is."""


def _program(path: str, around: Surroundings) -> Program:
    return Program(path, _kind(path, around.resolved(path)))


def _kind(path: str, resolved: str) -> Kind:
    """How a program was installed, from where it lies and what it is a link to."""
    if path.startswith("/snap/") or resolved.startswith("/snap/") or resolved == "/usr/bin/snap":
        return "snap"
    if PurePosixPath(path).name == FLATPAK_ID or "/flatpak/" in resolved:
        return "flatpak"
    return "plain"
