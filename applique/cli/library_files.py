"""A library's file, and the blocks that are known to use it."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from applique.errors import InputError
from applique.files import (
    LARGEST_DRAWING,
    put_in_place,
    read_plain,
    read_svg,
    read_text,
    svg_bytes,
)
from applique.folders import resolved
from applique.standing import Standing
from applique.svg.vocabulary import ROOT_LIBRARY

if TYPE_CHECKING:
    from applique.library.shelf import Library
    from applique.library.symbols import Entry

_MENTION = b"template"
"""A file without this word in it names no template."""

Uses = dict[str, list[tuple[str, int]]]
"""Of each template by name, the blocks that use it, with the version they have."""


def open_library(path: Path) -> Library:
    """Read a library's file; raises InputError naming it."""
    from applique.library.shelf import read_library

    try:
        return read_library(read_svg(path).getroot())
    except InputError as problem:
        text = str(problem)
        raise InputError(text if text.startswith(str(path)) else f"{path}: {text}") from None


def save_library(library: Library, was: Standing) -> None:
    """Put a library in place of its file, which `was` so before it was read: whole or not at all,
    and not over what somebody else has saved since."""
    put_in_place(was.path, svg_bytes(library.root.getroottree()), was)


def known_uses(path: Path, library: Library, blocks: Sequence[Path]) -> Uses:
    """What is made of a library's templates: by the drawings and layouts in its own folder, and by
    those, or the folders, that are named besides. What can't be read uses nothing."""
    uses: Uses = {}
    for block in _blocks([resolved(path).parent, *blocks]):
        if resolved(block) == resolved(path):
            continue
        named = _by_layout(block, path, library) if block.suffix == ".toml" else _by_drawing(block)
        for template, version in sorted(named):
            uses.setdefault(template, []).append((block.name, version))
    return uses


def _blocks(places: Sequence[Path]) -> list[Path]:
    found: dict[Path, None] = {}
    for place in places:
        if place.is_dir():
            drawn = [*place.glob("*.svg"), *place.glob("*.toml")]
            found.update(dict.fromkeys(sorted(drawn)))
        elif place.is_file():
            found[place] = None
        else:
            raise InputError(f"{place}: there is no such block or folder; check its name")
    return list(found)


def _by_drawing(block: Path) -> set[tuple[str, int]]:
    from applique.library.uses import uses_in

    try:
        if _MENTION not in read_plain(block, LARGEST_DRAWING, "a drawing"):
            return set()
        root = read_svg(block).getroot()
        used = () if root.get(ROOT_LIBRARY) is not None else uses_in(root)
        return {(use.template, use.version) for use in used}
    except (InputError, OSError):
        return set()


def _by_layout(block: Path, path: Path, library: Library) -> set[tuple[str, int]]:
    """The templates that a layout takes from this library; others it may take from others."""
    from applique.library.layout import read_layout

    try:
        layout = read_layout(read_text(block))
        named = [resolved(block.parent / name) for name in layout.libraries]
    except InputError:
        return set()
    if resolved(path) not in named:
        return set()
    found = set()
    for row in layout.rows:
        with contextlib.suppress(InputError):
            entry = library.named(row.piece, row.version)
            found.add((entry.name, entry.version))
    return found


def uses_of(entry: Entry, uses: Uses) -> list[tuple[str, int]]:
    """The blocks that use a template under its name, or under one that it had before."""
    return sorted({use for name in (entry.name, *entry.once) for use in uses.get(name, [])})
