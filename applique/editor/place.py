"""Place from Library: templates by their numbers, as clones in the drawing."""

from __future__ import annotations

import argparse
import re

from lxml import etree

from applique.editor.named import beside_drawing
from applique.editor.notify import finding_lines
from applique.errors import InputError, UsageError
from applique.files import read_svg
from applique.library.master import Master
from applique.library.outlines import outlines_of
from applique.library.setting_out import Way, set_out
from applique.library.shelf import Library, read_library
from applique.library.symbols import master_of
from applique.svg.vocabulary import ROOT_LIBRARY


def place_into(root: etree._Element, options: argparse.Namespace) -> list[str]:
    """Place the templates asked for into the document; returns what is to be told. Raises
    InputError and UsageError saying what is missing."""
    if root.get(ROOT_LIBRARY) is not None:
        raise UsageError("this drawing is a library; place templates in a block's drawing")
    words = [word for word in re.split(r"[\s,;]+", str(options.templates)) if word]
    if not words:
        raise UsageError("no template is named; give their numbers, with commas")
    library = _library(str(options.library).strip())
    scale = float(options.size) / 100
    if scale <= 0:
        raise UsageError("the size must be larger than 0 %; 100 is true to the template")
    mirrored = str(options.mirror).lower() == "true"
    way = Way(float(options.turn), mirrored, scale)
    labels = set_out(root, _masters(library, words), way)
    lines = finding_lines(library.findings)
    if scale != 1:
        lines.append(f"placed at {scale:.0%}: {', '.join(labels)}; not true to their templates")
    return lines


def _library(text: str) -> Library:
    if not text:
        raise UsageError("no library is named; give the name of its file")
    path = beside_drawing(text, "name the library's file with its folder")
    root = read_svg(path).getroot()
    try:
        return read_library(root)
    except InputError as problem:
        raise InputError(f"{path}: {problem}", problem.findings) from None


def _masters(library: Library, words: list[str]) -> list[Master]:
    entries = [library.named(word) for word in words]
    masters = []
    for entry, outline in zip(entries, outlines_of(library, entries).outlines, strict=True):
        if outline is None:
            raise InputError(
                f"{entry.name}: its symbol in the library encloses nothing; see "
                "'applique library check'"
            )
        masters.append(master_of(entry, outline))
    return masters
