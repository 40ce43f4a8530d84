"""Blocks told to take the newest versions of their templates."""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

from applique.library.master import Master
from applique.library.outlines import outlines_of
from applique.library.placing import bring_symbols
from applique.library.shelf import Library
from applique.library.symbols import Entry
from applique.library.uses import uses_in
from applique.report import Finding, warning
from applique.svg import vocabulary as v

_LINKS = ("href", f"{{{v.XLINK}}}href")


@dataclass(frozen=True, eq=False)
class Updated:
    """What an update did: each template's name with its old and its new version."""

    changed: tuple[tuple[str, int, int], ...]
    findings: tuple[Finding, ...]


def update_block(root: etree._Element, library: Library) -> Updated:
    """Let the clones of a block show the newest versions of their templates, each in the old one's
    place. Copies whose link was cut keep their outlines and are told."""
    newest = library.newest()
    wanted: dict[str, Entry] = {}
    changed: dict[str, tuple[str, int, int]] = {}
    for use in uses_in(root):
        entry = newest.get(use.template)
        if entry is not None and entry.version > use.version:
            wanted[entry.name] = entry
            changed.setdefault(entry.name, (entry.name, use.version, entry.version))
    entries = list(wanted.values())
    for entry, outline in zip(entries, outlines_of(library, entries).outlines, strict=True):
        if outline is None:
            del changed[entry.name]
            continue
        master = Master(entry.number, entry.set_name, entry.version, outline, entry.page)
        _repoint(root, master)
    now = {(use.template, use.version) for use in uses_in(root)}
    done = tuple(item for item in changed.values() if (item[0], item[2]) in now)
    return Updated(done, tuple(_left(root, wanted)))


def _repoint(root: etree._Element, master: Master) -> None:
    """Let all clones of a template's older versions show this one, and drop those from the
    definitions."""
    old = {
        str(symbol.get("id")): symbol
        for symbol in root.iter(v.svg("symbol"))
        if symbol.get(v.TEMPLATE) == master.name
        and symbol.get(v.TEMPLATE_VERSION) != str(master.version)
    }
    clones = [(use, name) for use in root.iter(v.svg("use")) for name in _LINKS]
    clones = [(use, name) for use, name in clones if str(use.get(name, ""))[1:] in old]
    if not clones:
        return
    symbol = bring_symbols(root, [master])[master]
    for use, name in clones:
        use.set(name, f"#{symbol}")
        use.set(v.TEMPLATE_VERSION, str(master.version))
    for element in old.values():
        around = element.getparent()
        if around is not None:
            around.remove(element)


def _left(root: etree._Element, wanted: dict[str, Entry]) -> list[Finding]:
    """The pieces that still have an older version."""
    findings = []
    for use in uses_in(root):
        entry = wanted.get(use.template)
        if entry is not None and use.version < entry.version:
            text = (
                f"is a copy of {use.template} whose link to the template was cut, so it keeps the "
                "outline it has; place the template anew"
            )
            findings.append(warning("unlinked", use.label or use.template, text))
    return findings
