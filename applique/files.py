"""Documents read from files, results put in place.

Nothing is ever written over in part: a result goes to a temporary file in the same folder, is
flushed to the disk, and then takes the old file's place in one move.
"""

from __future__ import annotations

import io
import os
import re
import stat
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import IO

from lxml import etree

from applique.errors import InputError, OutputError
from applique.report import Finding, first_of, warning
from applique.svg.vocabulary import ROOT_LIBRARY, svg


def read_svg(path: Path) -> etree._ElementTree:
    """Read an SVG document; raises InputError with one sentence if it is none."""
    try:
        with path.open("rb") as stream:
            return parse_svg(stream, str(path))
    except OSError:
        reason = "is a folder" if path.is_dir() else "can't be opened; check its name"
        raise InputError(f"{path}: {reason}") from None


def read_text(path: Path) -> str:
    """The text of a file in UTF-8; raises InputError if it can't be had."""
    try:
        if path.stat().st_size > _LARGEST_TEXT:
            raise InputError(f"{path}: is too large for a text of ours")
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(f"{path}: is no text in UTF-8; save it anew") from None
    except OSError:
        reason = "is a folder" if path.is_dir() else "can't be opened; check its name"
        raise InputError(f"{path}: {reason}") from None


_LARGEST_TEXT = 10_000_000
"""Bytes. No layout is larger."""

_MOST_NAMED = 6
"""Files named in one sentence at most."""


def read_picture(path: Path) -> bytes:
    """The bytes of a picture's file; raises InputError if they can't be had."""
    try:
        if path.stat().st_size > _LARGEST_PICTURE:
            raise InputError(f"{path}: is too large for a picture of a page")
        return path.read_bytes()
    except OSError:
        reason = "is a folder" if path.is_dir() else "can't be opened; check its name"
        raise InputError(f"{path}: {reason}") from None


_LARGEST_PICTURE = 400_000_000
"""Bytes. No page is larger; what is, is no picture of one."""


def parse_svg(stream: IO[bytes], name: str) -> etree._ElementTree:
    """Read an SVG document from a stream; `name` is what a refusal calls it.

    Entities are not expanded and nothing is fetched from a network. Raises InputError.
    """
    parser = etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True)
    try:
        tree = etree.parse(io.BytesIO(stream.read()), parser)
    except etree.XMLSyntaxError as problem:
        raise InputError(f"{name}: is no readable SVG; {_complaint(problem)}") from None
    if tree.getroot().tag != svg("svg"):
        raise InputError(f"{name}: is no SVG drawing; save it as SVG first")
    return tree


def _complaint(problem: etree.XMLSyntaxError) -> str:
    """What the parser says, its place told once and the remedy where it has one."""
    message = str(problem.msg).split(", line ")[0]
    line, column = problem.position
    if "encoding" in message.lower() or "utf-8" in message.lower():
        message = "its letters are not in the encoding it names; save it anew as UTF-8"
    if "depth" in message.lower():
        message = "its groups are nested too deeply; ungroup some"
    return f"{message} (line {line}, column {column})" if line else message


def svg_bytes(tree: etree._ElementTree) -> bytes:
    """A document as it is written to a file."""
    return etree.tostring(tree, xml_declaration=True, encoding="UTF-8") + b"\n"


def put_in_place(path: Path, data: bytes) -> None:
    """Write a file whole or not at all; raises OutputError if that can't be done."""
    put_all_in_place({path: data})


def put_all_in_place(results: Mapping[Path, bytes]) -> None:
    """Write several files; none is moved into place before all targets are known to be files that
    may be replaced, and all results are safely on the disk. Raises OutputError."""
    targets = {path: _target(path) for path in results}
    for path, data in results.items():
        _spare_library(path, targets[path], data)
    waiting: list[tuple[Path, Path]] = []
    try:
        for path, data in results.items():
            waiting.append((_temporary(path, targets[path], data), targets[path]))
        for temporary, target in waiting:
            _moved(temporary, target)
    finally:
        for temporary, _ in waiting:
            temporary.unlink(missing_ok=True)


def _target(path: Path) -> Path:
    """The file that a result is to replace. A link stays a link: what it points to is replaced."""
    try:
        target = path.resolve()
        mode = target.stat().st_mode
    except FileNotFoundError:
        return target
    except (OSError, RuntimeError) as problem:  # A loop of links is one or the other.
        raise _refused(path, problem) from None
    if stat.S_ISDIR(mode):
        raise OutputError(f"{path}: is a folder; give the name of a file in it")
    if not stat.S_ISREG(mode):
        raise OutputError(f"{path}: is no plain file; give another name")
    if not mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH):
        raise OutputError(f"{path}: is write-protected; make it writable or give another name")
    return target


def _spare_library(path: Path, target: Path, data: bytes) -> None:
    """Raise OutputError if a library of templates would be written over by something else."""
    mark = ROOT_LIBRARY.rpartition("}")[2].encode() + b'="'
    try:
        with target.open("rb") as stream:
            is_library = mark in stream.read(_HEAD)
    except OSError:
        return
    if is_library and mark not in data[:_HEAD]:
        raise OutputError(f"{path}: is a library of templates; give another name")


_HEAD = 4096
"""The root's tags stand within so many bytes from the start of a file."""


def apart_from(path: Path, *inputs: Path) -> Path:
    """A path for a result; raises OutputError if it is a file that is read for it."""
    for read in inputs:
        if path.resolve() == read.resolve():
            raise OutputError(f"{path}: is what is read; give another name for the result")
    return path


def _temporary(path: Path, target: Path, data: bytes) -> Path:
    """The data in a file beside its target."""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(
            dir=target.parent, prefix=".applique-", suffix=".part", delete=False
        ) as stream:
            temporary = Path(stream.name)
            try:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            except BaseException:
                temporary.unlink(missing_ok=True)
                raise
        temporary.chmod(_mode_for(target))
    except OSError as problem:
        raise _refused(path, problem) from None
    return temporary


def _moved(temporary: Path, target: Path) -> None:
    try:
        temporary.replace(target)
    except OSError as problem:
        raise _refused(target, problem) from None


def _refused(path: Path, problem: Exception) -> OutputError:
    reason = problem.strerror if isinstance(problem, OSError) else str(problem)
    return OutputError(f"{path}: can't be written; {reason}")


def _mode_for(path: Path) -> int:
    """The old file's permissions, or those a new file gets here."""
    try:
        return path.stat().st_mode & 0o777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def leftovers_told(
    folder: Path, written: Iterable[str], pattern: re.Pattern[str], what: str
) -> list[Finding]:
    """A warning if files whose names follow a pattern lie in a folder beside those just written
    there: `what` they are of an earlier run."""
    names = set(written)
    if not names:
        return []
    old = sorted(
        path.name
        for path in folder.iterdir()
        if pattern.fullmatch(path.name) and path.name not in names
    )
    if not old:
        return []
    named = first_of(old, _MOST_NAMED)
    text = f"{what} lie there too: {named}; remove what is outdated"
    return [warning("leftover", str(folder), text)]
