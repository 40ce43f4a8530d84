"""Stitch-out Page: a page that plays the sewing, opened in the browser; the drawing stays as it
is."""

from __future__ import annotations

import argparse

from lxml import etree

from applique.editor import browser
from applique.editor.hoop_words import hoop_request, names_fields, not_too_long
from applique.editor.named import drawing_path, new_file
from applique.editor.notify import finding_lines
from applique.editor.sewing_pages import STITCH_OUT_ENDING
from applique.errors import UsageError
from applique.files import apart_from, put_in_place
from applique.pages.stitchout import stitch_out_page
from applique.pages.stitchout_content import StitchOut
from applique.quilt.machine import Machine
from applique.report import Finding
from applique.stitchouts import stitch_out_of_block, stitch_out_of_hoopings


def write_stitch_out(root: etree._Element, options: argparse.Namespace) -> list[str]:
    """Write the page and open it; returns what is to be told, which is where the page lies if no
    browser shows it. Raises InputError, UsageError and OutputError saying what stands in the
    way."""
    path = new_file(str(options.file), STITCH_OUT_ENDING)
    if path.suffix.lower() not in (".html", ".htm"):
        raise UsageError(f"{path}: the page is written as .html; give it that ending")
    drawing = drawing_path()
    apart_from(path, *([] if drawing is None else [drawing]))
    content, findings = _content(root, options)
    put_in_place(path, stitch_out_page(content))
    lines = finding_lines(findings)
    if str(options.open).lower() == "true" and browser.opened(path):
        return lines
    return [f"{path}: open it in a browser", *lines]


def _content(
    root: etree._Element, options: argparse.Namespace
) -> tuple[StitchOut, tuple[Finding, ...]]:
    """What is played: one file, or those of the hoopings that are asked for."""
    suffix = Machine().format
    if names_fields(options):
        return stitch_out_of_hoopings(root, hoop_request(options), suffix, not_too_long())
    return stitch_out_of_block(root, suffix)
