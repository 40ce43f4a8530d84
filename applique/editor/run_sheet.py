"""Run Sheet: what one reads at the machine, as a page or a PDF; the drawing stays as it is."""

from __future__ import annotations

import argparse

from lxml import etree

from applique.carding import card_of
from applique.editor.hoop_words import hoop_request, names_fields, not_too_long
from applique.editor.named import drawing_path, new_file
from applique.editor.notify import finding_lines
from applique.editor.sewing_pages import RUN_SHEET_ENDING
from applique.errors import InputError, UsageError
from applique.files import apart_from, put_in_place
from applique.hooping import plan_hoopings, read_layered
from applique.hoopsheets import stitch_file_names
from applique.names import plain_names
from applique.paper.run_content import RunSheet
from applique.paper.sizes import sheet_mm
from applique.quilt.machine import Machine
from applique.quilt.project import Guidance
from applique.report import Finding, counted, ordered
from applique.runsheets.sheet import run_sheet_of_block, run_sheet_of_hoopings
from applique.runsheets.wishes import Wishes
from applique.runsheets.written import ENDINGS, written
from applique.svg.tagged import read_steps


def write_run_sheet(root: etree._Element, options: argparse.Namespace) -> list[str]:
    """Write the sheet; returns what is to be told. Raises InputError, UsageError and OutputError
    saying what stands in the way."""
    path = new_file(str(options.file), RUN_SHEET_ENDING)
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        raise UsageError(f"{path}: a run sheet is written as .html or .pdf; name one of them")
    drawing = drawing_path()
    apart_from(path, *([] if drawing is None else [drawing]))
    if not read_steps(root).steps:  # A card would have layers made for it, which takes a while.
        raise InputError("there are no stitches; use Make Layers first")
    sheet, findings = _sheet(root, options)
    data, lost = written(sheet, ending, sheet_mm(options.paper))
    put_in_place(path, data)
    hoopings = counted(len(sheet.sittings), "hooping", "hoopings")
    stops = counted(sheet.machine_stops, "stop", "stops")
    told = f"{path}: {hoopings}, {counted(sheet.stitches, 'stitch', 'stitches')}, {stops}"
    return [told, *finding_lines(ordered([*findings, *lost]))]


def _sheet(
    root: etree._Element, options: argparse.Namespace
) -> tuple[RunSheet, tuple[Finding, ...]]:
    """The sheet of one file, or of those of the hoopings that are asked for."""
    wishes = _wishes(options)
    suffix = wishes.machine.format
    request = hoop_request(options) if names_fields(options) else None
    card, findings = card_of(root)
    if request is None:
        drawing = drawing_path()
        called = card.name or ("" if drawing is None else drawing.stem)
        [stem] = plain_names([called], "block")
        return run_sheet_of_block(root, card, f"{stem}.{suffix}", wishes), findings
    hoopings = plan_hoopings(read_layered(root), request, not_too_long())
    names = stitch_file_names(hoopings.plan, suffix)
    sheet = run_sheet_of_hoopings(hoopings.plan, request, card, names, wishes)
    return sheet, (*findings, *hoopings.findings)


def _wishes(options: argparse.Namespace) -> Wishes:
    count = int(options.needles)
    machine = Machine(
        options.format, "many" if count > 1 else "single", count, float(options.speed)
    )
    guidance = Guidance(str(options.needle).strip(), str(options.stabiliser).strip())
    return Wishes(machine, guidance=guidance)
