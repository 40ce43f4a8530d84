"""Traced pages, from the bytes of their pictures to numbered outlines: all stages on one page.

bytes -> decode -> scale (photo: sheet, lens) -> pages (ink, regions, lines) -> number -> write
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from lxml import etree

from applique.errors import InputError, UsageError
from applique.report import Finding, note, warning
from applique.trace.decode import decode
from applique.trace.known import Calibration, KnownSize, calibrated, made_smaller
from applique.trace.number import labels_for
from applique.trace.page import InkEdge, Page
from applique.trace.pages import trace_page
from applique.trace.report import page_findings, page_report
from applique.trace.scale import Asked, page_of, unscaled_page
from applique.trace.template import TracedPage
from applique.trace.write import NumberedPage, pieces_document


@dataclass(frozen=True)
class TraceRequest:
    """What is asked of a tracing: what is known of the size, which edge of the ink counts, the
    first number and the numbers given outright, whether marks inside shapes are kept, and an
    object of known size among the outlines."""

    asked: Asked = Asked()  # noqa: RUF009
    ink_edge: InkEdge = "near"
    first: int = 1
    numbers: tuple[str, ...] = ()
    keep_marks: bool = False
    known_size: KnownSize | None = None


@dataclass(frozen=True, eq=False)
class Tracing:
    """Traced and numbered pages, their document, and what is worth telling."""

    pages: tuple[NumberedPage, ...]
    ink_edge: InkEdge
    findings: tuple[Finding, ...]

    def document(self) -> etree._ElementTree:
        """The outlines as an SVG document."""
        return pieces_document(self.pages)

    def as_dict(self) -> dict[str, Any]:
        """Everything that was measured, for a JSON report."""
        return {
            "ink_edge": self.ink_edge,
            "pages": [page_report(page) for page in self.pages],
            "findings": [finding.as_dict() for finding in self.findings],
        }

    @property
    def templates(self) -> int:
        """How many templates there are."""
        return sum(len(page.labels) for page in self.pages)


def trace_pictures(files: Sequence[tuple[str, bytes]], request: TraceRequest) -> Tracing:
    """Trace pictures, given as names and bytes, in their order.

    Raises InputError where a picture can't be read, its size can't be known or it shows no outline
    that could be used, and UsageError where the numbers don't fit.
    """
    findings: list[Finding] = []
    pages, scale_is_known = [], True
    for name, data in files:
        for picture in decode(data, name):
            if request.known_size is not None and not request.asked.tells(picture):
                page, scale_is_known = unscaled_page(picture), False
            else:
                page, found = page_of(picture, request.asked)
                findings.extend(found)
            pages.append(page)
    numbered = _numbered(pages, request, findings)
    if request.known_size is not None:
        calibration = _calibration(numbered, request.known_size, scale_is_known)
        findings.append(_told(calibration, request.known_size))
        if not scale_is_known:
            pages = [replace(p, mm_per_px=p.mm_per_px * calibration.scale) for p in pages]
            numbered = _numbered(pages, request, [])
        smaller = [made_smaller(item.traced, calibration.standoff_mm) for item in numbered]
        numbered = [
            replace(item, traced=traced) for item, traced in zip(numbered, smaller, strict=True)
        ]
    for item in numbered:
        findings.extend(page_findings(item, request.ink_edge))
    return Tracing(tuple(numbered), request.ink_edge, tuple(findings))


def _numbered(
    pages: Sequence[Page], request: TraceRequest, findings: list[Finding]
) -> list[NumberedPage]:
    """Trace pages and label their templates."""
    traced = [trace_page(page, request.ink_edge, request.keep_marks) for page in pages]
    empty = [page.name for page, found in zip(pages, traced, strict=True) if not found.templates]
    if len(empty) == len(pages):
        raise InputError(f"{', '.join(empty)}: {_NOTHING}", _open_lines(pages, traced))
    findings += [warning("no-outline", name, _NOTHING) for name in empty]
    count = sum(len(found.templates) for found in traced)
    labels = labels_for(count, request.first, request.numbers)
    numbered = []
    for page, found in zip(pages, traced, strict=True):
        own, labels = labels[: len(found.templates)], labels[len(found.templates) :]
        numbered.append(NumberedPage(page, found, tuple(own)))
    return numbered


_NOTHING = (
    "shows no closed outline of 8 mm or more; trace with a dark marker on white paper and close "
    "every line"
)


def _open_lines(pages: Sequence[Page], traced: Sequence[TracedPage]) -> list[Finding]:
    """What stands in for outlines on pages that have none."""
    return [
        finding
        for page, found in zip(pages, traced, strict=True)
        for finding in page_findings(NumberedPage(page, found, ()), "near")
        if finding.code == "open-line"
    ]


def _calibration(
    numbered: Sequence[NumberedPage], known: KnownSize, scale_is_known: bool
) -> Calibration:
    for item in numbered:
        if known.label in item.labels:
            template = item.traced.templates[item.labels.index(known.label)]
            return calibrated(template, known, scale_is_known)
    raise UsageError(f"there is no outline {known.label}, whose size is given; check --known-size")


def _told(calibration: Calibration, known: KnownSize) -> Finding:
    text = (
        f"its known size says that the pen stood off by {calibration.standoff_mm:.2f} mm; every "
        "outline was made smaller by that on each side"
    )
    if calibration.scale != 1.0:
        text += f", and the scale was set by it ({calibration.scale:.4f} of what was guessed)"
    return note("known-size", known.label, text)
