"""Documents read from files, results put in place.

Nothing is ever written over in part: a result goes to a temporary file in the same folder, is
flushed to the disk, and then takes the old file's place in one move.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import IO

from lxml import etree

from applique.errors import InputError, OutputError
from applique.svg.vocabulary import svg


def read_svg(path: Path) -> etree._ElementTree:
    """Read an SVG document; raises InputError with one sentence if it is none."""
    try:
        with path.open("rb") as stream:
            return parse_svg(stream, str(path))
    except OSError:
        reason = "is a folder" if path.is_dir() else "can't be opened; check its name"
        raise InputError(f"{path}: {reason}") from None


def parse_svg(stream: IO[bytes], name: str) -> etree._ElementTree:
    """Read an SVG document from a stream; `name` is what a refusal calls it.

    Entities are not expanded and nothing is fetched from a network. Raises InputError.
    """
    parser = etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True)
    try:
        tree = etree.parse(stream, parser)
    except etree.XMLSyntaxError as problem:
        raise InputError(f"{name}: is no readable SVG; {problem.msg}") from None
    if tree.getroot().tag != svg("svg"):
        raise InputError(f"{name}: is no SVG drawing; save it as SVG first")
    return tree


def svg_bytes(tree: etree._ElementTree) -> bytes:
    """A document as it is written to a file."""
    return etree.tostring(tree, xml_declaration=True, encoding="UTF-8") + b"\n"


def put_in_place(path: Path, data: bytes) -> None:
    """Write a file whole or not at all; raises OutputError if that can't be done."""
    put_all_in_place({path: data})


def put_all_in_place(results: Mapping[Path, bytes]) -> None:
    """Write several files; none is moved into place before all are safely on the disk."""
    waiting: list[tuple[Path, Path]] = []
    try:
        for path, data in results.items():
            waiting.append((_temporary(path, data), path))
        for temporary, path in waiting:
            temporary.replace(path.resolve())
    except OSError as problem:
        target = problem.filename2 or problem.filename or ""
        raise OutputError(f"{target}: can't be written; {problem.strerror}") from None
    finally:
        for temporary, _ in waiting:
            temporary.unlink(missing_ok=True)


def _temporary(path: Path, data: bytes) -> Path:
    # A link stays a link: what it points to is replaced.
    path = path.resolve()
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(
        dir=path.parent, prefix=f".{path.name}.", suffix=".part", delete=False
    ) as stream:
        temporary = Path(stream.name)
        try:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        except BaseException:
            temporary.unlink(missing_ok=True)
            raise
    temporary.chmod(_mode_for(path))
    return temporary


def _mode_for(path: Path) -> int:
    """The old file's permissions, or those a new file gets here."""
    try:
        return path.stat().st_mode & 0o777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask
