"""A library looked over: templates that are there twice, and what can't be read."""

from __future__ import annotations

from applique.library.alike import how_turned
from applique.library.likeness import likenesses
from applique.library.outlines import outlines_of
from applique.library.shelf import Library
from applique.report import Finding, ordered, warning


def check_library(library: Library) -> tuple[Finding, ...]:
    """Every finding about a library. Templates are compared by their outlines, not their names, in
    their newest versions."""
    entries = list(library.newest().values())
    read = outlines_of(library, entries)
    pairs = zip(entries, read.outlines, strict=True)
    shapes = [(entry.name, outline.shape) for entry, outline in pairs if outline is not None]
    findings = [*library.findings, *read.findings]
    for likeness in likenesses([shape for _, shape in shapes]):
        text = (
            f"has the same outline as {shapes[likeness.first][0]}{how_turned(likeness)}, within "
            f"{likeness.most_mm:.2f} mm; if they are one template, remove one of them"
        )
        findings.append(warning("same-shape", shapes[likeness.second][0], text))
    return ordered(findings)
