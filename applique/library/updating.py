"""Blocks told to take the newest versions of their templates."""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

from applique.library.compose import fingerprint, is_as_composed
from applique.library.master import Master
from applique.library.outlines import outlines_of
from applique.library.placing import bring_symbols
from applique.library.shelf import Library
from applique.library.symbols import Entry, master_of, path_data, symbol_of
from applique.library.uses import uses_in
from applique.report import Finding, warning
from applique.svg import vocabulary as v

_LINKS = ("href", f"{{{v.XLINK}}}href")


@dataclass(frozen=True, eq=False)
class Updated:
    """What an update did: each template's name with its old and its new version. Templates of a
    block that are not those of the library stayed, and are among the findings."""

    changed: tuple[tuple[str, int, int], ...]
    findings: tuple[Finding, ...]


def update_block(root: etree._Element, library: Library) -> Updated:
    """Let the clones of a block show the newest versions of their templates, each in the old one's
    place.

    A template of the block that the library does not have, or that has another outline there, is
    left alone and told; so is a copy whose link was cut.
    """
    untouched = is_as_composed(root)
    findings: list[Finding] = []
    changed = []
    for name, version in sorted({(use.template, use.version) for use in uses_in(root)}):
        found = _known(root, library, name, version, findings)
        if found is None or found.version <= version:
            continue
        outline = outlines_of(library, [found]).outlines[0]
        if outline is not None and _repoint(root, name, version, master_of(found, outline)):
            changed.append((name, version, found.version))
    findings.extend(_unlinked(root, library))
    if untouched and changed:
        root.set(v.ROOT_COMPOSED, fingerprint(root))
    return Updated(tuple(changed), tuple(findings))


def _known(
    root: etree._Element, library: Library, name: str, version: int, findings: list[Finding]
) -> Entry | None:
    """The newest version of a block's template, if the library has the very one that the block was
    made with; else None, and why."""
    versions = library.versions_of(name)
    same = [entry for entry in versions if entry.version == version]
    if not same:
        text = f"version {version} of it is not in the library, so it stays as it is in the block"
        findings.append(warning("not-there", name, text))
        return None
    symbols = [
        symbol
        for symbol in root.iter(v.svg("symbol"))
        if symbol.get(v.TEMPLATE) == name and symbol.get(v.TEMPLATE_VERSION) == str(version)
    ]
    drawn = [data for symbol in symbols if (data := path_data(symbol))]
    outline = outlines_of(library, same).outlines[0]
    if drawn and (
        outline is None or path_data(symbol_of(master_of(same[0], outline))) not in drawn
    ):
        text = (
            f"version {version} of it has another outline in the library than in the block, so it "
            "is another template; it stays as it is"
        )
        findings.append(warning("other-outline", name, text))
        return None
    return versions[-1]


def _repoint(root: etree._Element, name: str, version: int, master: Master) -> bool:
    """Let all clones of one version of a template show another, and drop it from the definitions;
    whether there were any."""
    old = {
        str(symbol.get("id")): symbol
        for symbol in root.iter(v.svg("symbol"))
        if symbol.get(v.TEMPLATE) == name and symbol.get(v.TEMPLATE_VERSION) == str(version)
    }
    links = [(use, link) for use in root.iter(v.svg("use")) for link in _LINKS]
    clones = [(use, link) for use, link in links if str(use.get(link, ""))[1:] in old]
    if not clones:
        return False
    symbol = bring_symbols(root, [master])[master]
    for use, link in clones:
        use.set(link, f"#{symbol}")
        use.set(v.TEMPLATE_VERSION, str(master.version))
    for element in old.values():
        around = element.getparent()
        if around is not None:
            around.remove(element)
    return True


def _unlinked(root: etree._Element, library: Library) -> list[Finding]:
    """The pieces that are copies of an older version, and no clones."""
    newest = {entry.name: entry.version for entry in library.newest().values()}
    text = (
        "is a copy of {} whose link to the template was cut, so it keeps the outline it has; "
        "place the template anew"
    )
    return [
        warning("unlinked", use.label or use.template, text.format(use.template))
        for use in uses_in(root)
        if use.version < newest.get(use.template, 0) and not use.is_clone
    ]
