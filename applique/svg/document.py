"""What a document says of the block as a whole: its frame, its fabrics, its default settings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lxml import etree

from applique.model import Fabric, Frame
from applique.report import Finding, error
from applique.settings import SPECS, parse_values
from applique.svg import vocabulary as v
from applique.svg.style import colour_hex
from applique.svg.transforms import page_size_mm
from applique.units import MM_PER_INCH, length_mm, size_mm

SEAM_ALLOWANCE_MM = MM_PER_INCH / 4
"""The usual patchwork seam (docs/sources.md)."""


@dataclass(frozen=True)
class Header:
    """The root's attributes and metadata. `page_mm` is the page's width and height; `fabrics` are
    those the document describes, by name; `settings` its defaults."""

    name: str
    page_mm: tuple[float, float]
    frame: Frame | None
    background: str
    fabrics: Mapping[str, Fabric]
    settings: Mapping[str, float | str]
    findings: tuple[Finding, ...]


def read_header(root: etree._Element, finished_mm: tuple[float, float] | None = None) -> Header:
    """Read the block's own data; `finished_mm` overrides the document's finished size."""
    findings: list[Finding] = []
    return Header(
        name=root.get(v.ROOT_BLOCK, ""),
        page_mm=page_size_mm(root),
        frame=_frame(root, finished_mm, findings),
        background=root.get(v.ROOT_BACKGROUND, ""),
        fabrics=_fabrics(root, findings),
        settings=_document_settings(root, findings),
        findings=tuple(findings),
    )


def settings_among(
    given: Mapping[str, str], label: str
) -> tuple[dict[str, float | str], list[Finding]]:
    """The settings among some attributes; a wrong value is an error that names the piece."""
    values: dict[str, float | str] = {}
    findings = []
    for name, text in given.items():
        if name not in SPECS:
            continue
        try:
            values.update(parse_values({name: text}))
        except ValueError as problem:
            findings.append(error("setting", label, f"{problem}; change ap:{name}"))
    return values, findings


def _document_settings(root: etree._Element, findings: list[Finding]) -> dict[str, float | str]:
    found = root.find(f"{v.svg('metadata')}/{v.META_DEFAULTS}")
    if found is None:
        return {}
    given = {str(name): str(value) for name, value in found.attrib.items()}
    values, wrong = settings_among(given, "document defaults")
    findings.extend(wrong)
    return values


def _frame(
    root: etree._Element, finished_mm: tuple[float, float] | None, findings: list[Finding]
) -> Frame | None:
    try:
        finished = finished_mm or _size(root.get(v.ROOT_FINISHED))
        text = root.get(v.ROOT_SEAM_ALLOWANCE)
        allowance = SEAM_ALLOWANCE_MM if text is None else _millimetres(text)
    except ValueError as problem:
        findings.append(error("frame", "", f"the block's size can't be read: {problem}"))
        return None
    if finished is None:
        return None
    width, height = page_size_mm(root)
    left, top = (width - finished[0]) / 2, (height - finished[1]) / 2
    return Frame(left, top, finished[0], finished[1], allowance)


def _size(text: str | None) -> tuple[float, float] | None:
    return None if text is None else size_mm(text)


def _millimetres(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return length_mm(text)


def _fabrics(root: etree._Element, findings: list[Finding]) -> dict[str, Fabric]:
    fabrics = {}
    for found in root.iterfind(f"{v.svg('metadata')}/{v.META_FABRIC}"):
        name = found.get("name", "")
        turn = found.get("turn", "any")
        if turn not in v.TURNS:
            findings.append(
                error("fabric", name, f"turn must be one of {', '.join(v.TURNS)}, not '{turn}'")
            )
            turn = "any"
        grain = found.get("grain")
        try:
            degrees = None if grain is None else float(grain)
        except ValueError:
            findings.append(error("fabric", name, f"grain must be degrees, not '{grain}'"))
            degrees = None
        colour = colour_hex(found.get("colour", "")) or "#808080"
        fabrics[name] = Fabric(name, colour, turn, degrees)
    return fabrics
