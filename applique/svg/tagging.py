"""Tags given to a document: what was read or chosen is written down where it belongs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from lxml import etree

from applique.errors import InputError
from applique.model import Fabric
from applique.settings import SPECS, plain
from applique.spec import Scope
from applique.svg import vocabulary as v
from applique.svg.read import Reading, Request, read_block
from applique.svg.style import colour_hex
from applique.units import compact


def tag_document(root: etree._Element, reading: Reading, request: Request) -> None:
    """Write ids, labels and fabrics to the elements that were taken, the settings that were asked
    for to the pieces they were asked for, and the block's own data to the root."""
    declare_prefixes(root)
    _set_version(root)
    if request.finished_mm is not None:
        root.set(v.ROOT_FINISHED, "x".join(compact(side) for side in request.finished_mm))
    for owner in reading.owners:
        element = owner.element
        element.set("id", owner.source)
        element.set(v.PIECE, owner.label)
        if owner.fabric is not None and not element.get(v.FABRIC):
            element.set(v.FABRIC, owner.fabric)
        if owner.detail is not None:
            element.set(v.DETAIL, owner.detail)
        if owner.concerned:
            _set_values(element, request.settings, ("piece", "element"), v.ap)
    _tag_metadata(root, reading, request)


def tag_elements(root: etree._Element, ids: Sequence[str], tags: Mapping[str, float | str]) -> None:
    """Write tags (a setting, `fabric` or `thread`) to the selected pieces, which get labels if they
    have none. Raises InputError if nothing selected can be a piece, or a value is wrong."""
    if not ids:
        raise InputError("nothing is selected; select the pieces to tag")
    settings = {name: value for name, value in tags.items() if name in SPECS}
    reading = read_block(root, Request(tuple(ids), settings))
    thread = tags.get("thread")
    if thread is not None and colour_hex(str(thread)) is None:
        raise InputError(f"'{thread}' is no colour; write it as #rrggbb")
    declare_prefixes(root)
    _set_version(root)
    for owner in reading.owners:
        if not owner.concerned:
            continue
        owner.element.set("id", owner.source)
        owner.element.set(v.PIECE, owner.label)
        for name, value in tags.items():
            owner.element.set(v.ap(name), plain(value))


def declare_prefixes(root: etree._Element) -> None:
    """Declare the prefixes we write with once, on the root; other declarations stay as they are."""
    ours = {"ap": v.AP, "inkscape": v.INKSCAPE}
    kept = [prefix for prefix in root.nsmap if prefix is not None]
    etree.cleanup_namespaces(root, top_nsmap=ours, keep_ns_prefixes=[*kept, *ours])


def metadata_of(root: etree._Element) -> etree._Element:
    """The document's metadata; one that has none gets them, empty, at its beginning."""
    metadata = root.find(v.svg("metadata"))
    if metadata is None:
        metadata = etree.Element(v.svg("metadata"))
        metadata.tail = "\n"
        root.insert(0, metadata)
    return metadata


def _set_version(root: etree._Element) -> None:
    """A document that says what version it has keeps its word, though it were a newer one."""
    if root.get(v.ROOT_VERSION) is None:
        root.set(v.ROOT_VERSION, v.VERSION)


def _tag_metadata(root: etree._Element, reading: Reading, request: Request) -> None:
    metadata = metadata_of(root)
    known = {found.get("name") for found in metadata.iterfind(v.META_FABRIC)}
    for fabric in reading.block.fabrics:
        if fabric.name not in known:
            metadata.append(fabric_element(fabric))
    asked = {name for name in request.settings if SPECS[name].scope == "document"}
    defaults = metadata.find(v.META_DEFAULTS)
    if defaults is None and asked:
        defaults = etree.SubElement(metadata, v.META_DEFAULTS)
    if defaults is not None:
        _set_values(defaults, request.settings, ("document",), str)


def fabric_element(fabric: Fabric) -> etree._Element:
    """A fabric as the metadata describe it."""
    element = etree.Element(v.META_FABRIC, nsmap={"ap": v.AP})
    element.tail = "\n"
    element.set("name", fabric.name)
    element.set("colour", fabric.colour)
    element.set("turn", fabric.turn)
    if fabric.grain_degrees is not None:
        element.set("grain", compact(fabric.grain_degrees))
    return element


def _set_values(
    element: etree._Element,
    settings: Mapping[str, float | str],
    scopes: tuple[Scope, ...],
    spelled: Callable[[str], str],
) -> None:
    for name, value in settings.items():
        if SPECS[name].scope in scopes:
            element.set(spelled(name), plain(value))
