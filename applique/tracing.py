"""Traced pages, from the bytes of their pictures to numbered outlines: all stages on one page.

    bytes -> decode -> scale (photo: sheet, lens) -> pages (ink, regions, lines) -> number -> write
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from lxml import etree

from applique.errors import InputError
from applique.report import Finding, warning
from applique.trace.decode import decode
from applique.trace.number import labels_for
from applique.trace.page import InkEdge
from applique.trace.pages import trace_page
from applique.trace.report import page_findings, page_report
from applique.trace.scale import Asked, page_of
from applique.trace.write import NumberedPage, pieces_document


@dataclass(frozen=True)
class TraceRequest:
    """What is asked of a tracing: what is known of the size, which edge of the ink counts, the
    first number and the numbers given outright, and whether marks inside shapes are kept."""

    asked: Asked = Asked()
    ink_edge: InkEdge = "near"
    first: int = 1
    numbers: tuple[str, ...] = ()
    keep_marks: bool = False


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
        return {"ink_edge": self.ink_edge, "pages": [page_report(page) for page in self.pages]}

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
    pages = []
    for name, data in files:
        for picture in decode(data, name):
            page, found = page_of(picture, request.asked)
            findings.extend(found)
            pages.append((page, trace_page(page, request.ink_edge, request.keep_marks)))
    empty = [page.name for page, traced in pages if not traced.templates]
    if len(empty) == len(pages):
        raise InputError(f"{', '.join(empty)}: {_NOTHING}", findings)
    findings += [warning("no-outline", name, _NOTHING) for name in empty]
    count = sum(len(traced.templates) for _, traced in pages)
    labels = labels_for(count, request.first, request.numbers)
    numbered = []
    for page, traced in pages:
        own, labels = labels[: len(traced.templates)], labels[len(traced.templates) :]
        numbered.append(NumberedPage(page, traced, tuple(own)))
    for item in numbered:
        findings.extend(page_findings(item, request.ink_edge))
    return Tracing(tuple(numbered), request.ink_edge, tuple(findings))


_NOTHING = (
    "shows no closed outline of 8 mm or more; trace with a dark marker on white paper and close "
    "every line"
)


