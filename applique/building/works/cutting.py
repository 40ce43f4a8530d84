"""One fabric's pieces of all blocks on as few sheets as can be found."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Mapping
from dataclasses import replace

from applique.building.asked import CutAsked
from applique.building.task import Given, Made
from applique.cutsheets.cutting import cut_lots
from applique.cutsheets.files import files_of
from applique.cutsheets.reading import cut_block, lots_among
from applique.cutting.lots import CutBlock
from applique.cutting.record import RECORD, needed_as_record
from applique.errors import InputError
from applique.files import parse_svg
from applique.report import Finding


def make(asked: CutAsked, given: Given) -> Made:
    """The fabrics' sheets, maps and record, and what is to be bought."""
    blocks = [_block(name, files, copies, given) for name, files, copies in asked.blocks]
    lots = lots_among(blocks, asked.request)
    kept = _kept_in(given.before, asked.folder)
    cut = cut_lots(lots, asked.request, asked.most_seconds, kept, lambda progress: True)
    if cut.problems:
        problem = cut.problems[0]
        findings = problem.findings if isinstance(problem, InputError) else ()
        told = tuple(_of_its_block(finding, lots.letters) for finding in findings)
        raise InputError(f"{problem}{_whose(str(problem), lots.letters)}", told)
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


def _of_its_block(finding: Finding, letters: Mapping[str, str]) -> Finding:
    """A finding about a piece that names the piece's block instead of its letter."""
    letter, hyphen, label = finding.object.partition("-")
    if not hyphen or letter not in letters:
        return finding
    return replace(finding, object=f"{letters[letter]}, {label}")


def _whose(told: str, letters: Mapping[str, str]) -> str:
    """Which blocks the letters in a sentence stand for: `; B is Gull`."""
    named = dict.fromkeys(re.findall(r"\b([A-Z]+)-", told))
    known = [f"{letter} is {letters[letter]}" for letter in named if letter in letters]
    return f"; {', '.join(known)}" if known else ""


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
