"""What a document says of the block as a whole: its frame, its fabrics, its default settings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from lxml import etree

from applique.model import Fabric, Frame
from applique.report import Finding, error, note, warning
from applique.settings import SPECS
from applique.spec import Scope
from applique.svg import vocabulary as v
from applique.svg.style import colour_hex
from applique.svg.transforms import page_size_mm
from applique.units import MM_PER_INCH, degrees_in, length_mm, size_mm, split_length

SEAM_ALLOWANCE_MM = MM_PER_INCH / 4
"""The usual patchwork seam (docs/sources.md)."""

WIDEST_SEAM_ALLOWANCE_MM = 100.0


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
    findings = list(newer_version(root))
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
    given: Mapping[str, str], scope: Scope, label: str, remedy: str
) -> tuple[dict[str, float | str], list[Finding]]:
    """The settings among some attributes that hold for a scope.

    A wrong value is an error that names `label`; `remedy` says where to change it, with the
    setting's name for {}.
    """
    values: dict[str, float | str] = {}
    findings = []
    for name, text in given.items():
        spec = SPECS.get(name)
        if spec is None:
            continue
        if scope == "piece" and spec.scope == "document":
            where = "holds for the whole block; give it on the command line or in a dialog"
            findings.append(note("setting", label, f"{name} {where}"))
            continue
        if spec.scope == "element":
            where = "holds for single elements only; tag these"
            findings.append(note("setting", label, f"{name} {where}"))
            continue
        try:
            values[name] = spec.parse(text)
        except ValueError as problem:
            findings.append(error("setting", label, f"{problem}; {remedy.format(name)}"))
    return values, findings


def _document_settings(root: etree._Element, findings: list[Finding]) -> dict[str, float | str]:
    every = root.findall(f"{v.svg('metadata')}/{v.META_DEFAULTS}")
    if len(every) > 1:
        text = "the metadata hold more than one; put them together"
        findings.append(error("setting", "ap:defaults", text))
    if not every:
        return {}
    found = every[0]
    given = {str(name): str(value) for name, value in found.attrib.items()}
    values, wrong = settings_among(
        given, "document", "ap:defaults", "change {} in the document's metadata"
    )
    findings.extend(wrong)
    unknown = sorted(name for name in given if name not in SPECS and not name.startswith("{"))
    findings.extend(
        note("unknown-tag", "ap:defaults", f"'{name}' is no setting and was left alone")
        for name in unknown
    )
    return values


def newer_version(root: etree._Element) -> Iterator[Finding]:
    """A warning if a document has another version of the tags than ours."""
    version = root.get(v.ROOT_VERSION, v.VERSION)
    if version != v.VERSION:
        text = (
            f"the document has ap:version {version}, of which this program knows {v.VERSION} only; "
            "what it does not know it leaves alone"
        )
        yield warning("version", "", text)


def _frame(
    root: etree._Element, finished_mm: tuple[float, float] | None, findings: list[Finding]
) -> Frame | None:
    width, height = page_size_mm(root)
    try:
        finished = finished_mm or _size(root.get(v.ROOT_FINISHED))
    except ValueError as problem:
        text = f"the finished size can't be used: {problem}; change ap:finished"
        findings.append(error("frame", "", text))
        return None
    try:
        allowance = _allowance(root.get(v.ROOT_SEAM_ALLOWANCE))
    except ValueError as problem:
        text = f"the seam allowance can't be used: {problem}; change ap:seam-allowance"
        findings.append(error("frame", "", text))
        return None
    if finished is None:
        return None
    if finished[0] > width or finished[1] > height:
        text = "the finished block is larger than the page; set the page's size"
        findings.append(warning("frame", "", f"{text} in Document Properties"))
    left, top = (width - finished[0]) / 2, (height - finished[1]) / 2
    return Frame(left, top, finished[0], finished[1], allowance)


def _size(text: str | None) -> tuple[float, float] | None:
    return None if text is None else size_mm(text)


def _allowance(text: str | None) -> float:
    """The seam allowance in mm; a plain number is mm too."""
    if text is None:
        return SEAM_ALLOWANCE_MM
    number, unit = split_length(text)
    allowance = length_mm(text) if unit else number
    if not 0 <= allowance <= WIDEST_SEAM_ALLOWANCE_MM:
        widest = f"{WIDEST_SEAM_ALLOWANCE_MM:g} mm"
        raise ValueError(f"it must lie between 0 and {widest}, not {text}")
    return allowance


def _fabrics(root: etree._Element, findings: list[Finding]) -> dict[str, Fabric]:
    fabrics: dict[str, Fabric] = {}
    for found in root.iterfind(f"{v.svg('metadata')}/{v.META_FABRIC}"):
        name = found.get("name", "")
        try:
            fabric = _fabric(found)
            if fabrics.setdefault(name, fabric) != fabric:
                raise ValueError("it is described twice, not in the same way")
        except ValueError as problem:
            text = f"{problem}; change it in the document's metadata"
            findings.append(error("fabric", name or "ap:fabric", text))
    return fabrics


def _fabric(found: etree._Element) -> Fabric:
    """One described fabric; raises ValueError saying what is wrong with it."""
    name, turn, grain = found.get("name", ""), found.get("turn", "any"), found.get("grain")
    colour = colour_hex(found.get("colour", "#808080"))
    if not name:
        raise ValueError("the fabric has no name")
    if turn not in v.TURNS:
        raise ValueError(f"turn must be one of {', '.join(v.TURNS)}, not '{turn}'")
    if colour is None:
        raise ValueError(f"'{found.get('colour')}' is no colour; write it as #rrggbb")
    return Fabric(name, colour, turn, None if grain is None else degrees_in(grain))
