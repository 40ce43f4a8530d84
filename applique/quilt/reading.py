"""quilt.toml read: everything wrong with it is told at once, with its line.

docs/quilt.md describes the format; `keys.py` has every key.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from applique.cutting.request import USUAL_SHEET, CutRequest
from applique.cutting.stock_text import stock_of
from applique.cutting.usual import GAP_MM
from applique.errors import InputError
from applique.hoops.fields import Field, field_of
from applique.hoops.frame import FrameSetting
from applique.hoops.request import HoopRequest
from applique.model import Fabric
from applique.quilt import keys
from applique.quilt.blocks import assembly_of, blocks_of
from applique.quilt.lines import lines_of
from applique.quilt.machine import Machine, Needles
from applique.quilt.project import FabricStock, Guidance, Handwork, Project, Swatch
from applique.quilt.stock_keys import CUTTING, FABRIC, THREADS
from applique.quilt.stock_keys import machine as machine_keys
from applique.quilt.values import TableReader
from applique.report import Finding, errors_in
from applique.threads.spool import Spool
from applique.threads.table import spools_of, usual_spools
from applique.tomltext import read_toml


def read_project(text: str, formats: Sequence[str], usual_fields: Sequence[Field]) -> Project:
    """Read quilt.toml. `formats` are the endings of the stitch files that can be written,
    `usual_fields` the hoops' fields that go by a name in inches.

    Raises InputError with everything that is wrong in it.
    """
    data = read_toml(text, "quilt.toml")
    findings: list[Finding] = []
    reader = TableReader(data, "quilt.toml", findings, lines_of(text))
    project = _project(reader, formats, usual_fields)
    if errors_in(findings):
        raise InputError("quilt.toml can't be used", findings)
    return project


def _project(reader: TableReader, formats: Sequence[str], usual_fields: Sequence[Field]) -> Project:
    values = reader.values(keys.project(formats))
    fabrics = _fabrics(reader.table("fabrics"))
    assembly = assembly_of(reader.table("quilt"), tuple(fabrics))
    machine = reader.table("machine")
    machine_values = machine.values(machine_keys(formats))
    cutting = reader.table("cutting")
    cutting_values = cutting.values(CUTTING)
    threads = reader.table("threads")
    threads_values = threads.values(THREADS)
    handwork = reader.table("handwork").values(keys.HANDWORK)
    return Project(
        name=values["name"],
        fabrics=fabrics,
        spools=_spools(threads, threads_values["usual"]),
        thread_file=threads_values["table"] or "",
        machine=_machine(machine_values),
        hooping=_hooping(machine, machine_values, usual_fields),
        cutting=_cutting(cutting, cutting_values),
        most_nesting_s=cutting_values["seconds"],
        paper_mm=reader.table("papers").values(keys.PAPERS)["paper"],
        handwork=Handwork(**{f"{name}_minutes": value for name, value in handwork.items()}),
        guidance=Guidance(**reader.table("guidance").values(keys.GUIDANCE)),
        assembly=assembly,
        defaults=values["defaults"] or {},
        blocks=blocks_of(reader, assembly.rows),
    )


def _fabrics(every: TableReader) -> dict[str, FabricStock]:
    found = {}
    for name in every.data:
        if not name.strip() or name != name.strip() or not name.isprintable():
            every.wrong(f"'{name}' is no name for a fabric; write it plainly in quotes", name)
        values = every.described(name).values(FABRIC)
        fabric = Fabric(name, values["colour"], values["turn"], values["grain"])
        swatch = None
        if values["swatch"] and values["swatch-size"]:
            swatch = Swatch(values["swatch"], *values["swatch-size"])
        found[name] = FabricStock(fabric, values["width"], values["price"], swatch)
    return found


def _spools(threads: TableReader, with_usual: bool) -> tuple[Spool, ...]:
    """The user's own spools, then the usual ones of other names if they are asked for."""
    rows = [entry.data for entry in threads.entries("spool")]

    def called(index: int, word: str) -> str:
        return f"line {threads.lines.of((*threads.path, 'spool', index, word))}"

    own = spools_of(rows, called, threads.findings)
    if not with_usual:
        return own
    names = {one.name for one in own}
    return (*own, *(one for one in usual_spools() if one.name not in names))


def _machine(values: Mapping[str, Any]) -> Machine:
    count = 1 if values["needles"] == "single" else values["needles"]
    needles: Needles = "single" if count == 1 else "many"
    return Machine(values["format"], needles, count, values["speed"])


def _hooping(
    machine: TableReader, values: Mapping[str, Any], usual: Sequence[Field]
) -> HoopRequest | None:
    """How blocks are hooped; None where no hoop is named."""
    named = [
        machine.read_as("hoops", text, lambda one: field_of(one, usual)) for text in values["hoops"]
    ]
    fields = tuple(dict.fromkeys(one for one in named if one is not None))
    if not fields:
        return None
    try:
        return HoopRequest(
            fields=fields,
            turn=values["turn"],
            margin_mm=values["margin"],
            order=values["order"],
            too_large=values["too-large"],
            reading_mm=values["misreading"],
            hold=values["hold"],
            frame=FrameSetting(values["frame-border"], values["grip"]),
        )
    except ValueError as problem:
        machine.wrong(str(problem), "margin")
        return None


def _cutting(cutting: TableReader, values: Mapping[str, Any]) -> CutRequest:
    sheets = [cutting.read_as("sheets", text, stock_of) for text in values["sheets"]]
    tool, gap_mm = values["tool"], values["gap"]
    try:
        return CutRequest(
            sheets=tuple(one for one in sheets if one is not None) or (USUAL_SHEET,),
            tool=tool,
            margin_mm=values["margin"],
            gap_mm=GAP_MM[tool] if gap_mm is None else gap_mm,
            face=values["face"],
            usable_width_mm=values["usable-width"],
            web_width_mm=values["web-width"],
            mixed=values["mixed"],
        )
    except ValueError as problem:
        cutting.wrong(str(problem), "margin")
        return CutRequest()
