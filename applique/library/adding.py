"""Templates put into a library. What is there stays as it is: a new outline under a known number is
a new version if it is the same template traced again, and a conflict if it is not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
from lxml import etree

from applique.errors import InputError
from applique.library.alike import Placing, found_again, known_shapes_among
from applique.library.master import Master, at_origin
from applique.library.outlines import outlines_of
from applique.library.pieces import NewTemplate
from applique.library.placing import written
from applique.library.shelf import Library, read_library
from applique.library.symbols import Entry, retitled, symbol_of
from applique.model import Outline
from applique.report import Finding, error, errors_in, note, warning
from applique.svg import vocabulary as v
from applique.svg.ids import free_id, ids_in
from applique.svg.transforms import IDENTITY, inverse, root_matrix


def recognised(
    library: Library, templates: Sequence[NewTemplate], set_name: str
) -> tuple[tuple[NewTemplate, ...], tuple[Finding, ...]]:
    """The templates whose outlines a set of a library has already, under their numbers there; what
    was recognised is told, and what was not, and so stays out."""
    newest = {name: e for name, e in library.newest().items() if e.set_name == set_name}
    known = dict(zip(newest, outlines_of(library, list(newest.values())).outlines, strict=True))
    masters = [Master(str(k), "", 1, t.outline, t.page) for k, t in enumerate(templates)]
    numbers: dict[int, str] = {}
    findings = []
    for master, name, how in known_shapes_among(masters, _there(known)):
        k = int(master.number)
        if k not in numbers and newest[name].number not in numbers.values():
            numbers[k] = newest[name].number
            text = f"was recognised as {name}{how}"
            findings.append(note("recognised", templates[k].number, text))
    text = "is no outline that the set has, so it stayed out; add it under a number of its own"
    findings += [
        warning("unknown-outline", template.number, text)
        for k, template in enumerate(templates)
        if k not in numbers
    ]
    known_now = [replace(templates[k], number=number) for k, number in sorted(numbers.items())]
    return tuple(known_now), tuple(findings)


@dataclass(frozen=True, eq=False)
class Added:
    """What adding did: names of templates that are new, that got a new version, and that were there
    already."""

    new: tuple[str, ...]
    versions: tuple[str, ...]
    unchanged: tuple[str, ...]
    findings: tuple[Finding, ...]


def add_templates(
    library: Library, templates: Sequence[NewTemplate], set_name: str, force: bool = False
) -> Added:
    """Put templates into a library's document, under their numbers with the set's prefix before
    them. With `force` another outline under a known number is a new version too.

    Raises InputError, with every conflict, before anything is changed.
    """
    newest = library.newest()
    known = dict(zip(newest, outlines_of(library, list(newest.values())).outlines, strict=True))
    findings: list[Finding] = list(_doubled(templates))
    new: list[Master] = []
    versions: list[Master] = []
    unchanged: list[str] = []
    conflicts: list[NewTemplate] = []
    for template in templates:
        name = f"{set_name}{template.number}"
        if name not in newest:
            outline = at_origin(template.outline)
            new.append(Master(template.number, set_name, 1, outline, template.page))
            continue
        placing = _placing(template.outline, known[name])
        if _is_there(template.outline, name, library, placing):
            unchanged.append(name)
        elif placing is None and not force:
            conflicts.append(template)
        else:
            versions.append(_next_version(newest[name], template, placing))
            findings.extend(_turned_over(name, placing))
    findings.extend(_seen_before(new, known))
    findings.extend(_conflicts(conflicts, set_name, newest, known))
    if errors_in(findings):
        raise InputError("nothing was added", findings)
    append_masters(library, [*new, *versions])
    return Added(
        tuple(master.name for master in new),
        tuple(master.name for master in versions),
        tuple(unchanged),
        tuple(findings),
    )


def append_masters(library: Library, masters: Sequence[Master]) -> None:
    """Put masters into a library's document as they are, with no questions asked."""
    _append(library.root, masters)
    _retitle(library.root, {master.name for master in masters if master.version > 1})


def _is_there(outline: Outline, name: str, library: Library, newest: Placing | None) -> bool:
    """Whether an outline is a copy of a version of a template; `newest` is how it lies to the
    newest."""
    if newest is not None and newest.is_exact:
        return True
    *older, _ = library.versions_of(name)
    placings = (_placing(outline, known) for known in outlines_of(library, older).outlines)
    return any(placing is not None and placing.is_exact for placing in placings)


def _placing(outline: Outline, known: Outline | None) -> Placing | None:
    return None if known is None else found_again(known, outline)


def _next_version(newest: Entry, template: NewTemplate, placing: Placing | None) -> Master:
    """The new version lies as the old one does, so that blocks may take it in its place."""
    outline = at_origin(template.outline) if placing is None else placing.outline
    version = newest.version + 1
    return Master(newest.number, newest.set_name, version, outline, template.page)


def _doubled(templates: Sequence[NewTemplate]) -> list[Finding]:
    counts = Counter(template.number for template in templates)
    return [
        error("doubled", number, "the drawing has this number more than once; change one of them")
        for number, count in counts.items()
        if count > 1
    ]


def _conflicts(
    templates: Sequence[NewTemplate],
    set_name: str,
    newest: Mapping[str, Entry],
    known: Mapping[str, Outline | None],
) -> list[Finding]:
    """Known numbers under which another outline is to come in; often it is known under another."""
    masters = [Master(t.number, set_name, 1, t.outline, t.page) for t in templates]
    others = {m.name: f"{name}{how}" for m, name, how in known_shapes_among(masters, _there(known))}
    findings = []
    for master in masters:
        page = newest[master.name].page or "a drawing"
        hint = f"; it is that of {others[master.name]}" if master.name in others else ""
        text = (
            f"the library has another outline under this number, from {page}{hint}; give the new "
            "one its own number, let --recognise do so for outlines that are known, or --force a "
            "new version if the template was changed"
        )
        findings.append(error("conflict", master.name, text))
    return findings


def _there(known: Mapping[str, Outline | None]) -> dict[str, Outline]:
    return {name: outline for name, outline in known.items() if outline is not None}


def _turned_over(name: str, placing: Placing | None) -> list[Finding]:
    if placing is None or not placing.mirrored:
        return []
    text = "was traced from its other side; the new version was turned over to lie as the old one"
    return [warning("turned-over", name, text)]


def _seen_before(new: Sequence[Master], known: Mapping[str, Outline | None]) -> list[Finding]:
    """New numbers whose outlines the library has already under others."""
    findings = []
    for master, name, how in known_shapes_among(new, _there(known)):
        text = f"has the same outline as {name}{how}; is it the same template?"
        findings.append(note("same-shape", master.name, text))
    return findings


def _append(root: etree._Element, masters: Sequence[Master]) -> None:
    """Append symbols to the document's defs, in mm whatever the document's units are."""
    if not masters:
        return
    units = inverse(root_matrix(root))
    units[:, 2] = 0
    defs = _defs(root)
    taken = ids_in(root)
    for master in masters:
        symbol = symbol_of(master)
        symbol.set("id", free_id(str(symbol.get("id")), taken))
        if not np.allclose(units, IDENTITY, rtol=0, atol=_ONE):
            cast(etree._Element, symbol.find(v.svg("path"))).set("transform", written(units))
        _put_last(defs, symbol)


_ONE = 1e-9
"""Units that differ from millimetres by no larger share are such."""


def _put_last(defs: etree._Element, symbol: etree._Element) -> None:
    """Append a symbol on a line of its own; blanks that are not as we write them stay."""
    if len(defs) == 0:
        defs.text, symbol.tail = "\n    ", "\n  "
    elif defs[-1].tail == "\n  ":
        defs[-1].tail, symbol.tail = "\n    ", "\n  "
    else:
        symbol.tail = defs[-1].tail
    defs.append(symbol)


def _defs(root: etree._Element) -> etree._Element:
    """The defs that hold our symbols; made if there are none."""
    for symbol in root.iter(v.svg("symbol")):
        around = symbol.getparent()
        if around is not None and around.tag == v.svg("defs") and symbol.get(v.TEMPLATE):
            return around
    found = root.find(v.svg("defs"))
    if found is None:
        found = etree.SubElement(root, v.svg("defs"))
        found.tail = "\n"
    return found


def _retitle(root: etree._Element, names: set[str]) -> None:
    """Titles tell which version of a template is the newest."""
    if not names:
        return
    library = read_library(root)
    for name in names:
        versions = library.versions_of(name)
        for entry in versions:
            retitled(entry, entry is versions[-1])
