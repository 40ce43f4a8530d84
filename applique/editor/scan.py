"""Pieces from Scan: a selected picture, or a file, to outlines in the drawing."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from lxml import etree

from applique.editor.named import beside_drawing
from applique.editor.notify import finding_lines
from applique.errors import UsageError
from applique.files import read_picture
from applique.papers import PAPERS_MM
from applique.trace.onto import Shown, picture_in, put_beside, put_over
from applique.trace.report import look_at
from applique.trace.scale import Asked
from applique.tracing import TraceRequest, trace_pictures

_LISTED = frozenset({"open-line", "no-outline", "whole-sheet", "sheet"})
"""What a dialog tells beside the list of outlines to look at."""


def trace_into(root: etree._Element, options: argparse.Namespace) -> list[str]:
    """Trace what is selected, or else the file, into the document; returns what is to be told.
    Raises InputError and UsageError as tracing does."""
    shown = picture_in(root, tuple(options.ids))
    name, data = _file(options) if shown is None else _bytes_of(shown)
    tracing = trace_pictures([(name, data)], _request(options))
    told = [finding for finding in tracing.findings if finding.code in _LISTED]
    lines = finding_lines(told)
    for item in tracing.pages:
        if shown is not None and not item.page.flattened:
            sentence = put_over(root, shown, item)
            lines += [sentence] if sentence else []
        else:
            put_beside(root, item)
        lines += look_at(item)
    return lines


def _request(options: argparse.Namespace) -> TraceRequest:
    dpi = float(options.dpi)
    asked = Asked(dpi if dpi > 0 else None, PAPERS_MM.get(str(options.paper)))
    numbers = [part.strip() for part in str(options.numbers).split(",")]
    return TraceRequest(
        asked,
        options.ink_edge,
        int(options.first),
        tuple(part for part in numbers if part),
        str(options.keep_marks).lower() == "true",
    )


def _file(options: argparse.Namespace) -> tuple[str, bytes]:
    text = str(options.file).strip()
    if not text:
        raise UsageError("no page is given; select a picture of a traced page, or name its file")
    path = beside_drawing(text, "name the picture's file with its folder")
    return path.name, read_picture(path)


def _bytes_of(shown: Shown) -> tuple[str, bytes]:
    """The name and bytes of a picture in the drawing; a linked file is found beside it."""
    if not shown.link:
        return shown.element.get("id", "picture"), shown.data
    folder = Path(os.environ.get("DOCUMENT_PATH", "")).parent
    path = folder / shown.link
    return path.name, read_picture(path)
