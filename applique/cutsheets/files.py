"""The files of cut sheets: each sheet, its picture, the maps, the patterns, what to buy."""

from __future__ import annotations

import json
from collections.abc import Mapping

from applique.cutsheets.reading import Lots
from applique.cutsheets.result import Cut
from applique.cutting.record import RECORD
from applique.cutting.sheet import Sheet
from applique.cutting.usual import Tool
from applique.export.cutfile import cut_file
from applique.export.dxffile import dxf_file
from applique.names import plain_names
from applique.paper.cutting import map_printout, pattern_printout
from applique.paper.pdf import pdf_bytes
from applique.pictures.sheets import sheet_picture

MAPS = "maps.pdf"
PICTURES = "pictures"
BUYING = "fabric-needed.txt"
AGAIN = "again-"
"""What the names of files begin with that are of a few pieces cut again."""

CAUTION: Mapping[Tool, str] = {
    "cutter": "Measure the 1 in test square before you cut. Keep fingers away from the blade and "
    "follow your machine's own instructions.",
    "scissors": "Print the patterns at 100 % and measure their bars. Cut away from yourself, and "
    "mind the iron.",
}
"""What to mind with the files."""


def files_of(cut: Cut, lots: Lots, tool: Tool, paper_mm: tuple[float, float]) -> dict[str, bytes]:
    """Everything that is written, by its name in the folder; a slash stands between the names of a
    folder in it and of a file. `paper_mm` is what maps and patterns are printed on."""
    if not cut.done:
        return {}
    files: dict[str, bytes] = {}
    for name, sheet in named_sheets(cut).items():
        files[f"{name}.svg"] = cut_file(sheet)
        if tool == "cutter":
            files[f"{name}.dxf"] = dxf_file(sheet)
        else:
            files[f"{name}.pdf"] = pdf_bytes(pattern_printout(sheet, paper_mm))
        files[f"{PICTURES}/{name}.png"] = sheet_picture(sheet, lots.colours)
    sheets = [sheet for done in cut.done for sheet in done.sheets]
    before = AGAIN if cut.again else ""
    files[before + MAPS] = pdf_bytes(map_printout(sheets, lots.colours, paper_mm, lots.letters))
    if cut.again:  # The sheets of all pieces, what to buy and the record stay as they are.
        return files
    bought = "".join(f"{needed.sentence()}\n" for needed in cut.needed)
    if bought:
        files[BUYING] = bought.encode()
    text = json.dumps(cut.record, indent=1, ensure_ascii=False)
    files[RECORD] = text.encode() + b"\n"
    return files


def named_sheets(cut: Cut) -> dict[str, Sheet]:
    """The sheets by the names of their files."""
    safe = plain_names([done.name for done in cut.done], "fabric")
    before = AGAIN if cut.again else ""
    return {
        f"{before}{name}-{sheet.number}": sheet
        for name, done in zip(safe, cut.done, strict=True)
        for sheet in done.sheets
    }
