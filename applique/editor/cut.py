"""Cut Sheets: the files of the block's cut sheets, and the sheets drawn beside the block."""

from __future__ import annotations

import argparse
import re
import time
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import numpy as np
import shapely
from lxml import etree

from applique.cutfolder import check_folder, kept_nestings, leftovers_of
from applique.cutsheets.cutting import cut_lots
from applique.cutsheets.files import CAUTION, files_of
from applique.cutsheets.reading import read_lots
from applique.cutsheets.result import Batch, Cut
from applique.cutting.request import USUAL_SHEET, CutRequest
from applique.cutting.sheet import PlacedCut, Sheet
from applique.cutting.stock_text import stock_of
from applique.cutting.usual import GAP_MM
from applique.editor.cut_pages import USUAL_GAP
from applique.editor.named import beside_drawing, drawing_path
from applique.editor.notify import finding_lines
from applique.errors import AppliqueError, InputError, UsageError
from applique.files import apart_from, put_all_in_place
from applique.geometry.curves import polyline
from applique.geometry.lettering import lettered, lettering_width
from applique.geometry.rings import rings_of
from applique.papers import PAPERS_MM
from applique.pictures.canvas import area_round
from applique.pictures.colours import UNKNOWN
from applique.pictures.sheet_numbers import HEIGHTS_PX, Number, place_sheet_numbers
from applique.report import counted
from applique.svg.sheetlayer import AROUND_MM, DrawnPiece, DrawnSheet, write_sheets

SEARCH_S = 6.0
"""The editor can't be used meanwhile, so a search ends by then with the best it has; the files of
ten sheets take about as long again."""

_NUMBER_MM = 8.0
"""Height of the largest numbers on the sheets."""


def cut_into(root: etree._Element, options: argparse.Namespace) -> list[str]:
    """Write the files and draw the sheets into the document; returns what is to be told. Raises
    InputError, UsageError and OutputError saying what stands in the way."""
    request = _request(options)
    drawing = drawing_path()
    folder = _folder_for(str(options.folder).strip(), drawing)
    check_folder(folder)
    lots = read_lots([("block" if drawing is None else drawing.stem, root)], request)
    end = time.monotonic() + SEARCH_S
    kept = kept_nestings(folder)
    cut = cut_lots(lots, request, SEARCH_S, kept, lambda progress: time.monotonic() < end)
    if not cut.done:
        raise InputError("\n".join(_problem_lines(cut.problems)))
    files = files_of(cut, lots, request.tool, PAPERS_MM[str(options.paper)])
    read = [] if drawing is None else [drawing]
    put_all_in_place({apart_from(folder / name, *read): data for name, data in files.items()})
    sheets = [sheet for done in cut.done for sheet in done.sheets]
    write_sheets(root, [_drawn(sheet, lots.colours) for sheet in sheets])
    findings = [*lots.findings, *cut.findings, *leftovers_of(folder, files)]
    return [*_told(cut, folder), *finding_lines(findings), CAUTION[request.tool]]


def _request(options: argparse.Namespace) -> CutRequest:
    words = [word.strip() for word in re.split(r"[,;]", str(options.sheets)) if word.strip()]
    gap = float(options.gap)
    try:
        return CutRequest(
            sheets=tuple(stock_of(word) for word in words) or (USUAL_SHEET,),
            tool=options.tool,
            margin_mm=float(options.margin),
            gap_mm=GAP_MM[options.tool] if gap == USUAL_GAP else gap,
            face=options.face,
            copies=int(options.copies),
        )
    except ValueError as problem:
        raise UsageError(str(problem)) from None


def _folder_for(text: str, drawing: Path | None) -> Path:
    """Where the files go: the folder named, beside the drawing if it is named without a place, or
    one named after the drawing."""
    usual = "" if drawing is None else f"{drawing.stem}-cut"
    return beside_drawing(text or usual, "name a folder for the files")


def _told(cut: Cut, folder: Path) -> list[str]:
    """How many sheets there are and where, which fabrics might do with fewer, and what failed."""
    count = counted(sum(len(done.sheets) for done in cut.done), "sheet", "sheets")
    each = ", ".join(f"{done.name} {len(done.sheets)}" for done in cut.done)
    open_ended = [_might_do_with_fewer(done) for done in cut.done if _is_open(done)]
    return [f"{count} in {folder}: {each}", *open_ended, *_problem_lines(cut.problems)]


def _is_open(done: Batch) -> bool:
    return len(done.sheets) > done.bound


def _might_do_with_fewer(done: Batch) -> str:
    return (
        f"{done.name}: at least {done.bound} of its {len(done.sheets)} sheets are "
        "needed; 'applique cut' on the command line searches longer"
    )


def _problem_lines(problems: Sequence[AppliqueError]) -> list[str]:
    """Why fabrics could not be cut."""
    lines: list[str] = []
    for problem in problems:
        if isinstance(problem, InputError):
            lines += finding_lines(problem.findings)
        lines.append(str(problem))
    return lines


def _drawn(sheet: Sheet, colours: Mapping[str, str]) -> DrawnSheet:
    return DrawnSheet(
        fabric=sheet.name,
        number=sheet.number,
        titles=(sheet.title, sheet.face_words),
        size_mm=sheet.stock.size_mm,
        border=tuple(polyline(ring, closed=True) for ring in rings_of(sheet.stock.shape)),
        pieces=tuple(_drawn_piece(cut, colours) for cut in sheet.cuts),
        lines=tuple(_number_lines(sheet)),
    )


def _drawn_piece(cut: PlacedCut, colours: Mapping[str, str]) -> DrawnPiece:
    colour = colours.get(cut.piece.fabric, UNKNOWN)
    return DrawnPiece(cut.piece.mark, colour, cut.curves)


def _number_lines(sheet: Sheet) -> Iterator[np.ndarray]:
    """The numbers of all pieces, whichever side lies up, and the lines that lead from those
    beside their piece."""
    area = area_round(sheet.stock.shape.bounds, AROUND_MM)
    px_per_mm = HEIGHTS_PX[0] / _NUMBER_MM
    for number in place_sheet_numbers(sheet.cuts, area, px_per_mm):
        height = number.height_px / px_per_mm
        corner = np.array(number.middle_mm)
        corner -= np.array([lettering_width(number.text, height), height]) / 2
        yield from (line + corner for line in lettered(number.text, height))
        yield from _leader(number)


def _leader(number: Number) -> list[np.ndarray]:
    if number.end_mm is None:
        return []
    whole = shapely.linestrings([number.middle_mm, number.end_mm])
    return [shapely.get_coordinates(whole.difference(number.box))]
