"""What the index calls the files that it leads to."""

from __future__ import annotations

import re
from collections.abc import Iterable

_STITCHES = re.compile(r"-hooping-(\d+)\.(?!pdf$|png$)\w+$")
_TEMPLATE = re.compile(r"-hooping-(\d+)\.pdf$")
_PATTERN = re.compile(r"-pattern-(.+)\.pdf$")
_SHEET = re.compile(r"-(\d+)\.(svg|dxf|pdf)$")
_SHEET_WORDS = {"svg": "sheet {} (SVG)", "dxf": "sheet {} (DXF)", "pdf": "pattern {}"}


def sewn_words(name: str, stem: str) -> str:
    """What a stitch file of a block is called, or what is printed for it."""
    if found := _STITCHES.search(name):
        return f"Hooping {found[1]}: stitches"
    if found := _TEMPLATE.search(name):
        return f"Hooping {found[1]}: template"
    if found := _PATTERN.search(name):
        return f"Pattern of {found[1]}"
    if name.endswith(f"{stem}-hoopings.png"):
        return "Hoopings at a glance"
    return "Stitches"


def cut_words(name: str) -> str:
    """What a file of cut sheets is called."""
    found = _SHEET.search(name)
    return "maps" if found is None else _SHEET_WORDS[found[2]].format(found[1])


def natural_order(names: Iterable[str]) -> list[str]:
    """Names in order, numbers in them by their value: 2 comes before 10."""

    def key(name: str) -> list[tuple[int, str]]:
        return [(int(it), "") if it.isdecimal() else (0, it) for it in re.split(r"(\d+)", name)]

    return sorted(names, key=key)
