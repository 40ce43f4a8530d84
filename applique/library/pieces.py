"""Outlines out of a drawing, to be put into a library: what is tagged as a piece, or all that is
filled where nothing is."""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

from applique.errors import InputError
from applique.model import Outline
from applique.report import Finding, error, errors_in
from applique.svg import vocabulary as v
from applique.svg.labels import unique_labels
from applique.svg.outlines import trace
from applique.svg.select import Candidate, candidates


@dataclass(frozen=True, eq=False)
class NewTemplate:
    """An outline in mm with its number; `page` names the page or drawing it comes from."""

    number: str
    outline: Outline
    page: str


def templates_in(
    root: etree._Element, drawing: str
) -> tuple[tuple[NewTemplate, ...], tuple[Finding, ...]]:
    """The outlines of a drawing in its own order; `drawing` is what its page is called where no
    layer says it. Raises InputError, with every finding, if one of them has no outline."""
    if root.get(v.ROOT_LIBRARY) is not None:
        raise InputError(
            "this is a library itself; put it into another with 'applique library merge'"
        )
    chosen = candidates(root, ())
    pieces = [item for item in chosen.candidates if item.detail is None]
    named = unique_labels(pieces)
    findings = [*chosen.findings, *named.findings]
    found = []
    for item, label in zip(pieces, named.labels, strict=True):
        traced = trace(list(item.shapes))
        findings.extend(
            error(trouble.code, label, trouble.message, trouble.place)
            for trouble in traced.troubles
            if trouble.fatal
        )
        if traced.outline is not None:
            found.append(NewTemplate(label, traced.outline, _page_of(item) or drawing))
    if errors_in(findings):
        raise InputError("nothing was added", findings)
    if not found:
        raise InputError("the drawing has no closed outlines to add; trace a page first")
    return tuple(found), tuple(findings)


def _page_of(item: Candidate) -> str:
    """The name of the outermost layer around a piece, as `applique trace` names it by its page."""
    names = [
        str(around.get(v.inkscape("label"), ""))
        for around in item.owner.iterancestors(v.svg("g"))
        if around.get(v.inkscape("groupmode")) == "layer"
    ]
    return names[-1] if names else ""
