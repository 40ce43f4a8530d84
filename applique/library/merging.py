"""One library put into another. Nothing is written over: what can't be put in is told."""

from __future__ import annotations

from dataclasses import dataclass

from applique.library.adding import append_masters
from applique.library.alike import EXACT_MM
from applique.library.likeness import compare
from applique.library.master import Master
from applique.library.outlines import outlines_of
from applique.library.shelf import Library
from applique.library.symbols import master_of
from applique.model import Outline
from applique.report import Finding, warning


@dataclass(frozen=True, eq=False)
class Merged:
    """What merging did: how many templates, all versions counted, came in and were there already;
    each conflict is a finding."""

    added: tuple[str, ...]
    unchanged: int
    findings: tuple[Finding, ...]


def merge_library(library: Library, other: Library) -> Merged:
    """Put all templates of another library into this one's document, with all their versions.

    A template with the same name, version and outline is there already. One with another outline is
    a conflict: it stays out, with the later versions of its name, and is told.
    """
    findings: list[Finding] = list(other.findings)
    read = outlines_of(other, list(other.entries))
    findings.extend(read.findings)
    own = {(entry.name, entry.version): entry for entry in library.entries}
    own_outlines = dict(zip(own, outlines_of(library, list(own.values())).outlines, strict=True))
    masters: list[Master] = []
    unchanged = 0
    refused: set[str] = set()
    unreadable: list[str] = []
    pairs = sorted(zip(other.entries, read.outlines, strict=True), key=lambda pair: pair[0].version)
    for entry, outline in pairs:
        key = (entry.name, entry.version)
        if outline is None:
            unreadable.append(entry.name)
        if outline is None or entry.name in refused:
            continue
        if key not in own:
            masters.append(master_of(entry, outline))
        elif _same(own_outlines[key], outline):
            unchanged += 1
        else:
            refused.add(entry.name)
            findings.append(_conflict(entry.name, entry.version))
    if unreadable:
        text = f"have no outline that can be read, so they stayed out: {', '.join(unreadable)}"
        findings.append(warning("unreadable", "", text))
    in_order = {entry.name: place for place, entry in enumerate(other.entries)}
    masters = [master for master in masters if master.name not in refused]
    masters.sort(key=lambda master: (in_order[master.name], master.version))
    append_masters(library, masters)
    added = tuple(dict.fromkeys(master.name for master in masters))
    return Merged(added, unchanged, tuple(findings))


def _same(known: Outline | None, outline: Outline) -> bool:
    if known is None:
        return False
    likeness = compare(known.shape, outline.shape)
    return likeness is not None and likeness.most_mm <= EXACT_MM


def _conflict(name: str, version: int) -> Finding:
    text = (
        f"version {version} of it has another outline in the other library, so it stayed out; "
        "rename one of the two and merge again"
    )
    return warning("conflict", name, text)
