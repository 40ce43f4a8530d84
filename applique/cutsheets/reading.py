"""What is cut of some layered documents, by fabric."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from lxml import etree

from applique.cutting.lots import CutBlock, Lot, letters_of, lots_of
from applique.cutting.request import CutRequest
from applique.errors import InputError
from applique.renewal import agreement_of, misfits_told
from applique.report import Finding
from applique.svg.cutlayer import read_cut_lines
from applique.svg.document import read_header
from applique.svg.read import survey_block
from applique.svg.tagged import read_steps


@dataclass(frozen=True, eq=False)
class Lots:
    """What is cut, by fabric; `letters` tell which block's labels each letter stands before,
    `colours` the fabrics' colours."""

    lots: tuple[Lot, ...]
    letters: Mapping[str, str]
    colours: Mapping[str, str]
    findings: tuple[Finding, ...]


def read_lots(documents: Sequence[tuple[str, etree._Element]], request: CutRequest) -> Lots:
    """What is cut of some layered documents, each with what it is called where it has no name.

    Raises InputError naming the document whose cut lines can't be read, or where there is nothing
    to cut.
    """
    blocks: list[CutBlock] = []
    findings: list[Finding] = []
    for name, root in documents:
        block, told = _read_block(name, root, len(documents) > 1)
        taken = {each.name for each in blocks}
        blocks.append(replace(block, name=_unlike(block.name, taken)))
        findings += told
    return replace(lots_among(blocks, request), findings=tuple(findings))


def lots_among(blocks: Sequence[CutBlock], request: CutRequest) -> Lots:
    """What is cut of some blocks; raises InputError where there is nothing to cut."""
    colours = {fabric.name: fabric.colour for block in blocks for fabric in block.fabrics}
    return Lots(lots_of(blocks, request), letters_of(blocks), colours, ())


def cut_block(name: str, root: etree._Element) -> CutBlock:
    """The cut lines of a document, and its fabrics, under a name; raises InputError if they can't
    be read."""
    return CutBlock(name, read_cut_lines(root), tuple(read_header(root).fabrics.values()))


def _read_block(
    name: str, root: etree._Element, several: bool
) -> tuple[CutBlock, tuple[Finding, ...]]:
    try:
        block = cut_block(read_header(root).name or name, root)
        if not block.lines:
            raise InputError("there are no cut lines; use Make Layers first")
    except InputError as problem:
        where = f"{name}: " if several else ""
        raise InputError(f"{where}{problem}", problem.findings) from None
    try:
        findings = misfits_told(agreement_of(survey_block(root).block, read_steps(root).steps))
    except InputError:  # Stitches are of no concern to who only cuts.
        findings = ()
    return block, findings


def _unlike(name: str, taken: set[str]) -> str:
    """The name, with a number if it is taken."""
    number, told = 1, name
    while told in taken:
        number += 1
        told = f"{name} {number}"
    return told
