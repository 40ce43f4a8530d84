"""A block made from a layout: clones of a library's templates, each in its place and fabric."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from lxml import etree

from applique.errors import InputError
from applique.library.layout import Layout, Row
from applique.library.master import Master
from applique.library.outlines import outlines_of
from applique.library.page import MARGIN_MM, block_page
from applique.library.placing import Pose, bring_symbols, clone_of, matrix_of
from applique.library.shelf import Library
from applique.library.symbols import Entry, master_of, path_data
from applique.model import Fabric
from applique.report import Finding, error, errors_in, note, warning
from applique.settings import plain
from applique.svg import vocabulary as v
from applique.svg.ids import free_id, id_part, ids_in
from applique.svg.labels import copies_of
from applique.svg.newdoc import add_layer
from applique.svg.transforms import IDENTITY, apply

_UNKNOWN_COLOUR = "#b0b0b0"


@dataclass(frozen=True, eq=False)
class Composed:
    """A composed block, and what is worth knowing of it."""

    tree: etree._ElementTree
    findings: tuple[Finding, ...]


def compose_block(
    layout: Layout, libraries: Sequence[Library], kept_versions: Mapping[str, int]
) -> Composed:
    """The block that a layout describes. Templates come in the version that the layout asks for,
    else in that of `kept_versions` (by name), else in the newest.

    Raises InputError, with everything that is missing, if it can't be made.
    """
    findings: list[Finding] = []
    chosen = [_chosen(row, libraries, kept_versions, findings) for row in layout.rows]
    if errors_in(findings):
        raise InputError("the block can't be composed", findings)
    masters = _masters([pair for pair in chosen if pair is not None], findings)
    if errors_in(findings):
        raise InputError("the block can't be composed", findings)
    fabrics = _fabrics(layout, findings)
    root = block_page(layout, fabrics)
    layer = add_layer(root, "pieces", "pieces")
    symbols, ids = bring_symbols(root, masters), ids_in(root)
    labels = _labels(layout.rows, masters)
    for row, master, label in zip(layout.rows, masters, labels, strict=True):
        piece = _piece(root, row, master, symbols[master], label, fabrics[row.fabric])
        piece.set("id", free_id(f"piece-{id_part(label)}", ids))
        layer.append(piece)
        if _is_outside(row, master, layout):
            text = "lies wholly outside the finished block; mend its x and y"
            findings.append(warning("outside", row.called, text))
        if row.scale != 1:
            text = (
                f"is {row.scale:.0%} of template {master.name}, so the template itself won't fit it"
            )
            findings.append(warning("not-true", label, text))
    etree.indent(root)
    root.set(v.ROOT_COMPOSED, fingerprint(root))
    return Composed(etree.ElementTree(root), tuple(findings))


def fingerprint(root: etree._Element) -> str:
    """What a composed document is known by: anything done to it by hand changes this."""
    bare = etree.fromstring(etree.tostring(root))
    bare.attrib.pop(v.ROOT_COMPOSED, "")
    return hashlib.sha256(etree.tostring(bare, method="c14n")).hexdigest()[:16]


def is_as_composed(root: etree._Element) -> bool:
    """Whether a document is still as `compose_block` wrote it."""
    return root.get(v.ROOT_COMPOSED) == fingerprint(root)


def exchanged(before: etree._Element, after: etree._Element) -> tuple[Finding, ...]:
    """Templates whose outlines differ in two documents though their names and versions don't: the
    library is not the one that the block was composed from before."""
    old, new = (
        {(s.get(v.TEMPLATE), s.get(v.TEMPLATE_VERSION)): path_data(s) for s in _symbols(root)}
        for root in (before, after)
    )
    return tuple(
        warning(
            "other-outline",
            str(name),
            f"version {version} of it has another outline than in the block so far; is it the same "
            "library?",
        )
        for (name, version), data in new.items()
        if old.get((name, version), data) != data
    )


def _symbols(root: etree._Element) -> list[etree._Element]:
    return [symbol for symbol in root.iter(v.svg("symbol")) if symbol.get(v.TEMPLATE)]


def _chosen(
    row: Row,
    libraries: Sequence[Library],
    kept_versions: Mapping[str, int],
    findings: list[Finding],
) -> tuple[Library, Entry] | None:
    """The template that a row means, and its library."""
    found = []
    troubles = []
    for library in libraries:
        try:
            found.append((library, library.named(row.piece, row.version)))
        except InputError as problem:
            troubles.append(str(problem))
    if len(found) == 1:
        library, entry = found[0]
        return library, _kept(library, entry, row, kept_versions, findings)
    if found:
        text = "several libraries have a template of this name; write its whole name, with the "
        text += "set's letters before it, or leave all but one of the libraries out"
        troubles = [f"{row.piece}: {text}"]
    findings.append(error("template", row.called, troubles[-1].removeprefix(f"{row.piece}: ")))
    return None


def _kept(
    library: Library,
    entry: Entry,
    row: Row,
    kept_versions: Mapping[str, int],
    findings: list[Finding],
) -> Entry:
    """The version that the block was made with before, as long as the library has it."""
    version = kept_versions.get(entry.name)
    if row.version is not None or version is None or version == entry.version:
        return entry
    for other in library.versions_of(entry.name):
        if other.version == version:
            text = f"stays at version {version}, as in the block so far; "
            text += f"--newest takes version {entry.version}"
            findings.append(note("version", entry.name, text))
            return other
    return entry


def _masters(chosen: Sequence[tuple[Library, Entry]], findings: list[Finding]) -> list[Master]:
    """The chosen templates with their outlines."""
    by_library: dict[int, list[Entry]] = {}
    for library, entry in chosen:
        by_library.setdefault(id(library), []).append(entry)
    found: dict[int, Master] = {}
    for library in {id(library): library for library, _ in chosen}.values():
        entries = by_library[id(library)]
        read = outlines_of(library, entries)
        for entry, outline in zip(entries, read.outlines, strict=True):
            if outline is None:
                text = "its symbol in the library encloses nothing; see 'applique library check'"
                findings.append(error("template", entry.name, text))
                continue
            found[id(entry)] = master_of(entry, outline)
    return [found[id(entry)] for _, entry in chosen if id(entry) in found]


def _labels(rows: Sequence[Row], masters: Sequence[Master]) -> list[str]:
    """The labels that rows give, and for the others their templates' numbers: 17, then 17b."""
    taken = {row.label for row in rows if row.label}
    copies: dict[str, Iterator[str]] = {}
    labels = []
    for row, master in zip(rows, masters, strict=True):
        label = row.label or master.number
        if not row.label and label in taken:
            others = copies.setdefault(label, copies_of(label))
            label = next(other for other in others if other not in taken)
        taken.add(label)
        labels.append(label)
    return labels


def _fabrics(layout: Layout, findings: list[Finding]) -> dict[str, Fabric]:
    """All fabrics by name, those that have no colour in grey."""
    fabrics = {fabric.name: fabric for fabric in layout.fabrics}
    for name in [layout.background, *(row.fabric for row in layout.rows)]:
        if name and name not in fabrics:
            fabrics[name] = Fabric(name, _UNKNOWN_COLOUR)
            text = "has no colour in the layout, so it is grey; add it under [fabrics]"
            findings.append(warning("fabric", name, text))
    return fabrics


def _is_outside(row: Row, master: Master, layout: Layout) -> bool:
    pose = Pose((row.x_mm, row.y_mm), row.turn_degrees, row.mirrored, row.scale)
    points = apply(matrix_of(pose, master), shapely.get_coordinates(master.outline.shape))
    low, high = points.min(axis=0), points.max(axis=0)
    return bool((high <= 0).any() or (low >= np.array(layout.finished_mm)).any())


def _piece(
    root: etree._Element,
    row: Row,
    master: Master,
    symbol: str,
    label: str,
    fabric: Fabric,
) -> etree._Element:
    middle = (row.x_mm + MARGIN_MM, row.y_mm + MARGIN_MM)
    pose = Pose(middle, row.turn_degrees, row.mirrored, row.scale)
    clone = clone_of(root, IDENTITY, symbol, master, pose)
    clone.set(v.inkscape("label"), f"{label} {fabric.name}")
    clone.set(v.PIECE, label)
    clone.set(v.FABRIC, fabric.name)
    if row.thread:
        clone.set(v.THREAD, row.thread)
    for name, value in row.settings.items():
        clone.set(v.ap(name), plain(value))
    clone.set("style", f"fill:{fabric.colour};stroke:none")
    return clone
