"""One fabric's pieces of all blocks on as few sheets as can be found."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping

from applique.building.asked import CutAsked
from applique.building.task import Given, Made
from applique.cutsheets.cutting import cut_lots
from applique.cutsheets.files import files_of
from applique.cutsheets.reading import cut_block, lots_among
from applique.cutting.lots import CutBlock
from applique.cutting.record import RECORD, needed_as_record
from applique.errors import InputError
from applique.files import parse_svg


def make(asked: CutAsked, given: Given) -> Made:
    """The fabrics' sheets, maps and record, and what is to be bought."""
    blocks = [_block(name, files, copies, given) for name, files, copies in asked.blocks]
    lots = lots_among(blocks, asked.request)
    kept = _kept_in(given.before, asked.folder)
    cut = cut_lots(lots, asked.request, asked.most_seconds, kept, lambda progress: True)
    if cut.problems:
        raise InputError(str(cut.problems[0]), getattr(cut.problems[0], "findings", ()))
    made = files_of(cut, lots, asked.request.tool, asked.paper_mm)
    return Made(
        {f"{asked.folder}/{name}": data for name, data in made.items()},
        {
            "title": ", ".join(name or "card for templates" for name in asked.fabrics),
            "sheets": sum(len(batch.sheets) for batch in cut.done),
            "pieces": sum(batch.pieces for batch in cut.done),
            "needed": [needed_as_record(needed) for needed in cut.needed],
        },
        cut.findings,
    )


def _block(name: str, files: tuple[str, ...], copies: int, given: Given) -> CutBlock:
    """A block with those of its cut lines that stand in some files."""
    read = [
        cut_block(name, parse_svg(io.BytesIO(given.files[file]), file).getroot()) for file in files
    ]
    return CutBlock(
        name,
        tuple(line for block in read for line in block.lines),
        tuple(fabric for block in read for fabric in block.fabrics),
        copies,
    )


def _kept_in(files: Mapping[str, bytes], folder: str) -> Mapping[str, object]:
    """The record of an earlier nesting; none where there is none that can be read."""
    try:
        found = json.loads(files[f"{folder}/{RECORD}"])
    except (KeyError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}
