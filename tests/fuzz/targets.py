"""Four readers as functions of bytes: what they take, and what they must never say or keep silent.

Each either returns, or raises one of the project's own exceptions (`applique.errors`). Whatever
else comes out of it is a fault: any other exception, a warning, a number that is none, a result
that is empty and yet no sentence says so.
"""

from __future__ import annotations

import io
import json
import math
import re
import zlib
from collections.abc import Callable, Iterable
from dataclasses import fields, is_dataclass
from functools import cache

import numpy as np
import shapely
from lxml import etree

from applique.checks import check_document
from applique.errors import AppliqueError, InputError
from applique.export.formats import FORMATS
from applique.export.inspecting import inspect_file
from applique.export.machine import machine_file
from applique.export.reading import read_machine
from applique.files import parse_svg, svg_bytes
from applique.hoops.fields import Field, read_fields
from applique.library.layout import read_layout
from applique.model import Plan
from applique.pictures.filed import filed_picture
from applique.pipeline import read_plan
from applique.quilt.reading import read_project
from applique.report import Finding
from applique.resources import hoop_fields_text
from applique.sequence.plan import plan_of, stitch_faults
from applique.settings import Settings
from applique.svg.cutlayer import read_cut_lines
from applique.svg.document import read_header
from applique.svg.hooplayer import write_hoopings
from applique.svg.read import read_block
from applique.svg.scraps import read_scraps
from applique.svg.tagged import read_steps, write_steps
from applique.threads.table import read_spools
from applique.units import FURTHEST_MM

_NO_NUMBER = re.compile(r"nan\b|inf\b", re.IGNORECASE)
_MAY_BE_NONE = re.compile(r"nan|inf|e\+?[\d_]{3}|\d{300}", re.IGNORECASE)
"""Inputs that hold a number which is none, or is beyond what a float can hold, may be told so."""

_SLACK_MM = 1.0


class SilentFaultError(Exception):
    """A reader returned something that it should have refused or told."""


def read_drawing(data: bytes) -> None:
    """A drawing as a block; for some of the inputs, its check and its scraps too."""
    root = _root(data)
    share = zlib.crc32(data) % 8
    if share == 0:
        _check_told(check_document(root), data)
    if share == 1:
        _check_numbers(read_scraps(root))
    reading = read_block(root)
    _check_told(reading.findings, data)
    if not reading.block.parts:
        raise SilentFaultError("a block without any part was read, and nothing was said")
    _check_numbers(reading.block)


def read_layered(data: bytes) -> None:
    """The layers of a document as `stitch` and `cut` read them; for some of the inputs, held
    against the drawing, written to a machine file, or written anew as well."""
    root = _root(data)
    share = zlib.crc32(data) % 16
    refusals: list[AppliqueError] = []
    for read in (_read_sewing if share > 3 else _read_plan, _read_cutting):
        try:
            read(root, data)
        except AppliqueError as problem:
            refusals.append(problem)
    if refusals:
        raise refusals[0]
    if share == 0:
        machine_file(read_plan(root)[0], tuple(FORMATS)[zlib.adler32(data) % len(FORMATS)])
    if share == 1:
        _check_written_anew(root)


def _read_sewing(root: etree._Element, data: bytes) -> None:
    """The steps and the plan that they make: all that does not look at the drawing."""
    found = read_steps(root)
    _check_told((*found.findings, *stitch_faults(found.steps)), data)
    _check_numbers(found.steps)
    if not found.steps:
        raise InputError("there are no stitches; use Make Layers first")
    header = read_header(root)
    _check_plan(plan_of(found.steps, header.name, header.page_mm))


def _read_plan(root: etree._Element, data: bytes) -> None:
    plan, findings = read_plan(root)
    _check_told(findings, data)
    _check_plan(plan)


def _check_plan(plan: Plan) -> None:
    _check_numbers(plan)
    if not plan.blocks:
        raise SilentFaultError("a plan without any stitch was read, and nothing was said")


def _read_cutting(root: etree._Element, data: bytes) -> None:
    _check_numbers(read_cut_lines(root))


def read_text(data: bytes) -> None:
    """A quilt's project file, or a layout or a table of threads by what stands in it."""
    try:
        text = io.TextIOWrapper(io.BytesIO(data), encoding="utf-8-sig").read()
    except UnicodeDecodeError:  # The file's reader has told so: applique.files.read_text.
        raise InputError("is no text in UTF-8") from None
    if "[[piece]]" in text:
        layout = read_layout(text)
        _check_numbers(layout)
        if not layout.rows:
            raise SilentFaultError("a layout without any piece was read, and nothing was said")
    elif "[[thread]]" in text:
        _check_numbers(read_spools(text))
    else:
        _check_numbers(read_project(text, tuple(FORMATS), _usual_fields()))


def read_machine_file(data: bytes) -> None:
    """A machine file and its figures; its suffix stands in a line of its own before its bytes."""
    suffix, _, content = data.partition(b"\n")
    reading = read_machine(content, suffix.decode("latin-1"))
    _check_told(reading.findings, data)
    figures = inspect_file(reading, _usual_fields())
    try:
        json.dumps(figures.as_dict(), allow_nan=False)
    except ValueError:
        raise SilentFaultError("a figure of the file is no number") from None
    if not figures.stitches:
        raise SilentFaultError("a file without any stitch was read, and nothing was said")
    if zlib.crc32(data) % 512 == 0:
        filed_picture(reading.plan.blocks)


TARGETS: dict[str, Callable[[bytes], None]] = {
    "drawing": read_drawing,
    "layered": read_layered,
    "text": read_text,
    "machine": read_machine_file,
}
"""The readers by name."""


def check_refusal(problem: AppliqueError, data: bytes) -> None:
    """A refusal must say something, and of no number that is none unless the input has one."""
    _check_sentence(str(problem), data)
    _check_told(getattr(problem, "findings", ()), data)


def _root(data: bytes) -> etree._Element:
    return parse_svg(io.BytesIO(data), "drawing.svg").getroot()


@cache
def _usual_fields() -> tuple[Field, ...]:
    return tuple(read_fields(hoop_fields_text()))


def _check_written_anew(root: etree._Element) -> None:
    """Steps written down are read back as many, and the document stays one."""
    steps = read_steps(root).steps
    write_steps(root, steps)
    write_hoopings(root, (), ())
    again = read_steps(_root(svg_bytes(root.getroottree()))).steps
    if len(again) != len(steps):
        raise SilentFaultError(f"of {len(steps)} steps written, {len(again)} were read back")


def _check_told(findings: Iterable[Finding], data: bytes) -> None:
    for finding in findings:
        _check_sentence(finding.message, data)
        if finding.place is not None:
            _check_numbers(finding.place)
        finding.as_dict()


def _check_sentence(text: str, data: bytes) -> None:
    if not text.strip():
        raise SilentFaultError("a sentence is empty")
    if _NO_NUMBER.search(text) and not _MAY_BE_NONE.search(data.decode("latin-1")):
        raise SilentFaultError(f"a sentence tells of a number that is none: {text[:120]}")


def _check_numbers(value: object) -> None:
    """Every number within must be one; outlines and points must lie on a page."""
    if value is None or isinstance(value, str | int | Settings):  # Settings have their bounds.
        return
    if isinstance(value, float):
        if not math.isfinite(value):
            raise SilentFaultError("a number is none, or without bound")
    elif isinstance(value, np.ndarray):
        _check_points(value)
    elif isinstance(value, shapely.Geometry):
        _check_points(shapely.get_coordinates(value))
    elif isinstance(value, dict):
        _check_numbers(tuple(value.values()))
    elif isinstance(value, tuple | list | frozenset):
        for inner in value:
            _check_numbers(inner)
    elif is_dataclass(value):
        for each in fields(value):
            _check_numbers(getattr(value, each.name))


def _check_points(points: np.ndarray) -> None:
    if points.dtype.kind != "f" or not points.size:
        return
    if not np.isfinite(points).all():
        raise SilentFaultError("a point has a coordinate that is no number")
    if np.abs(points).max() > 10 * FURTHEST_MM + _SLACK_MM:
        raise SilentFaultError("a point lies further out than any page reaches")
