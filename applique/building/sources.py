"""The files that quilt.toml names, read before anything is built."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from applique.errors import InputError
from applique.files import read_plain
from applique.quilt.project import BlockEntry, Project
from applique.threads.spool import Spool
from applique.threads.table import read_spools
from applique.tomltext import read_toml

_LARGEST = 200_000_000
"""Bytes. No drawing, library or picture of a quilt is larger; nor are all libraries of a layout."""

_LARGEST_TEXT = 2_000_000
"""Bytes. No layout is larger, and no table of threads; the reader of TOML takes a few seconds for
so many."""


@dataclass(frozen=True, eq=False)
class Source:
    """What a block is made from: its drawing, or its layout with the libraries it names."""

    name: str
    data: bytes
    libraries: tuple[tuple[str, bytes], ...] = ()


def source_of(entry: BlockEntry, folder: Path) -> Source:
    """The files of a block; raises InputError naming the one that can't be read."""
    if not entry.is_layout:
        return Source(entry.file, read_within(entry.file, folder))
    data = read_within(entry.file, folder, _LARGEST_TEXT)
    libraries: list[tuple[str, bytes]] = []
    for name in _libraries_in(data, entry):
        libraries.append((name, read_within(_beside(entry.file, name), folder)))
        if sum(len(read) for _, read in libraries) > _LARGEST:
            most = f"{_LARGEST // 1_000_000} MB"
            raise InputError(f"{entry.file}: its libraries have more than {most}; name fewer")
    return Source(entry.file, data, tuple(libraries))


def spools_of(project: Project, folder: Path) -> tuple[Spool, ...]:
    """The threads that may be used; those of a file of their own where quilt.toml names one. Raises
    InputError if it can't be read."""
    if not project.thread_file:
        return project.spools
    data = read_within(project.thread_file, folder, _LARGEST_TEXT)
    try:
        return read_spools(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise InputError(f"{project.thread_file}: is no text in UTF-8; save it anew") from None
    except InputError as problem:
        raise InputError(f"{project.thread_file}: {problem}", problem.findings) from None


def read_within(name: str, folder: Path, most_bytes: int = _LARGEST) -> bytes:
    """The bytes of a file by its name in a folder, or below it; else, or if it has more than are
    allowed, raises InputError, which names it as quilt.toml does."""
    path = folder / name
    try:
        is_within = folder.resolve() in path.resolve().parents
    except (OSError, ValueError, RuntimeError):  # A loop of links, or a name that no file can have.
        raise InputError(f"{name}: can't be opened; check its name") from None
    if not is_within:
        raise InputError(f"{name}: lies outside the folder of quilt.toml; copy it there")
    return read_plain(path, most_bytes, "a file of a quilt", name)


def _beside(file: str, name: str) -> str:
    """The name of a file that another names, which lies beside it."""
    return (PurePosixPath(file).parent / name).as_posix()


def _libraries_in(data: bytes, entry: BlockEntry) -> list[str]:
    """The libraries a layout names. What is wrong with it is told when it is composed."""
    try:
        named = read_toml(data.decode("utf-8-sig"), entry.file).get("library", [])
    except (InputError, UnicodeDecodeError):
        return []
    names = [named] if isinstance(named, str) else named
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        return []
    if not names:
        raise InputError(f'{entry.file}: names no library; write library = "SET.svg"')
    return names
