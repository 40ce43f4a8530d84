"""Documents read from files, results put in place.

Nothing is ever written over in part: a result goes to a temporary file in the same folder, is
flushed to the disk, and then takes the old file's place in one move. What is promised, and to
whom, stands in docs/your-files.md.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import signal
import stat
import tempfile
import threading
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import IO, TYPE_CHECKING

from applique.errors import InputError, OutputError
from applique.folders import PART_PREFIX, PART_SUFFIX, flush, held, refused, resolved
from applique.report import Finding, first_of, warning
from applique.standing import Standing
from applique.svg.amount import too_much_in
from applique.svg.vocabulary import ROOT_LIBRARY, svg

if TYPE_CHECKING:
    from lxml import etree


def read_svg(path: Path) -> etree._ElementTree:
    """Read an SVG document; raises InputError with one sentence if it is none."""
    return parse_svg(io.BytesIO(read_plain(path, LARGEST_DRAWING, "a drawing")), str(path))


LARGEST_DRAWING = 200_000_000
"""Bytes. Scans of pages in it are the most that a drawing of ours has."""


def read_text(path: Path) -> str:
    """The text of a file in UTF-8; raises InputError if it can't be had."""
    try:
        return read_plain(path, _LARGEST_TEXT, "a text of ours").decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(f"{path}: is no text in UTF-8; save it anew") from None


_LARGEST_TEXT = 2_000_000
"""Bytes. No layout is larger, and no quilt; the reader of TOML takes a few seconds for so many."""


def read_picture(path: Path) -> bytes:
    """The bytes of a picture's file; raises InputError if they can't be had."""
    return read_plain(path, _LARGEST_PICTURE, "a picture of a page")


_LARGEST_PICTURE = 400_000_000
"""Bytes. No page is larger; what is, is no picture of one."""


def read_plain(path: Path, most_bytes: int, what: str, called: str = "") -> bytes:
    """The bytes of a plain file, which pipes and devices are not: they may have no end. Raises
    InputError, with its path or as it is `called`, if it can't be had or too large for `what`."""
    name = called or str(path)
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            kind = "a folder" if stat.S_ISDIR(found.st_mode) else "no plain file"
            raise InputError(f"{name}: is {kind}; give the name of a file")
        if found.st_size > most_bytes:
            raise InputError(f"{name}: is too large for {what}; name another file")
        return path.read_bytes()
    except PermissionError:
        raise InputError(f"{name}: can't be opened; see that you may read it") from None
    except (OSError, ValueError):  # ValueError: a name that no file can have.
        raise InputError(f"{name}: can't be opened; check its name") from None


_MOST_NAMED = 6
"""Files named in one sentence at most."""


def parse_svg(stream: IO[bytes], name: str) -> etree._ElementTree:
    """Read an SVG document from a stream; `name` is what a refusal calls it.

    Entities are not expanded and nothing is fetched from a network. Raises InputError.
    """
    from lxml import etree  # Help is told without it.

    data = stream.read()
    if too_much := too_much_in(data):
        raise InputError(f"{name}: {too_much}")
    parser = etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True)
    try:
        tree = etree.parse(io.BytesIO(data), parser)
    except etree.XMLSyntaxError as problem:
        raise InputError(f"{name}: is no readable SVG: {_complaint(problem)}") from None
    if tree.getroot().tag != svg("svg"):
        raise InputError(f"{name}: is no SVG drawing; save it as SVG first")
    return tree


def _complaint(problem: etree.XMLSyntaxError) -> str:
    """What the parser says, its place told once, and the remedy."""
    message = str(problem.msg).split(", line ")[0]
    remedy = "save it as SVG first"
    if "encoding" in message.lower() or "utf-8" in message.lower():
        message, remedy = "its letters are not in the encoding it names", "save it anew as UTF-8"
    if "depth" in message.lower():
        message, remedy = "its groups are nested too deeply", "ungroup some"
    place = " (line {}, column {})".format(*problem.position) if problem.position[0] else ""
    return f"{message}{place}; {remedy}"


def svg_bytes(tree: etree._ElementTree) -> bytes:
    """A document as it is written to a file."""
    from lxml import etree

    return etree.tostring(tree, xml_declaration=True, encoding="UTF-8") + b"\n"


def put_in_place(path: Path, data: bytes, made_from: Standing | None = None) -> None:
    """Write a file whole or not at all; raises OutputError if that can't be done, or if it would
    take the place of the file it was made from and that has been changed since."""
    put_all_in_place({path: data}, made_from)


def put_all_in_place(results: Mapping[Path, bytes], made_from: Standing | None = None) -> None:
    """Write several files; none is moved into place before all targets are known to be files that
    may be replaced, and all results are safely on the disk.

    Runs that write into the same folders at once come one after the other, so that what lies there
    at the end is all from one of them. Ctrl-C waits until the last file is in place. But the moves
    are not one: where the process is killed between two of them, some files are new and the others
    old, each whole. Raises OutputError.
    """
    targets = {path: _target(path) for path in results}
    with held(target.parent for target in targets.values()) as touched:
        for path, data in results.items():
            _spare_library(path, targets[path], data)
        waiting: list[tuple[Path, Path]] = []
        try:
            for path, data in results.items():
                waiting.append((_temporary(path, targets[path], data), targets[path]))
            if made_from is not None and made_from.path.resolve() in targets.values():
                made_from.check()
            with _undisturbed():
                for temporary, target in waiting:
                    _moved(temporary, target)
                flush(touched)
        finally:
            for temporary, _ in waiting:
                with contextlib.suppress(OSError):  # The next run takes it away.
                    temporary.unlink(missing_ok=True)


@contextlib.contextmanager
def _undisturbed() -> Iterator[None]:
    """Hold Ctrl-C back until something that takes a moment is done."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    pressed: list[int] = []
    before = signal.signal(signal.SIGINT, lambda number, frame: pressed.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, signal.SIG_DFL if before is None else before)
        if pressed:
            signal.raise_signal(signal.SIGINT)


def _target(path: Path) -> Path:
    """The file that a result is to replace. A link stays a link: what it points to is replaced."""
    try:
        target = path.resolve()
        mode = target.stat().st_mode
    except FileNotFoundError:
        return target
    except (OSError, RuntimeError) as problem:  # A loop of links is one or the other.
        raise refused(path, problem) from None
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
        if resolved(path) == resolved(read):
            raise OutputError(f"{path}: is what is read; give another name for the result")
    return path


def _temporary(path: Path, target: Path, data: bytes) -> Path:
    """The data in a file beside its target."""
    try:
        with tempfile.NamedTemporaryFile(
            dir=target.parent, prefix=PART_PREFIX, suffix=PART_SUFFIX, delete=False
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
        raise refused(path, problem) from None
    return temporary


def _moved(temporary: Path, target: Path) -> None:
    try:
        temporary.replace(target)
    except OSError as problem:
        raise refused(target, problem) from None


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
    text = f"{what} lie there too: {first_of(old, _MOST_NAMED)}; remove what is outdated"
    return [warning("leftover", str(folder), text)]
