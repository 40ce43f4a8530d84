"""A drawing dressed for its quilt: the fabrics described in its metadata, the threads tagged."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from lxml import etree

from applique.model import Detail, Fabric, Piece, Thread
from applique.report import Finding, error
from applique.svg import vocabulary as v
from applique.svg.document import read_header
from applique.svg.read import Reading, survey_block
from applique.svg.select import Candidate, candidates
from applique.svg.style import colour_hex
from applique.svg.tagging import declare_prefixes, fabric_element, metadata_of

ThreadFor = Callable[[str], Thread]
"""The thread to sew a colour, #rrggbb, with."""


def dress(
    root: etree._Element, fabrics: Mapping[str, Fabric], thread_for: ThreadFor | None
) -> tuple[Finding, ...]:
    """Write the quilt's fabrics and threads into a drawing.

    Of the fabrics that the drawing describes or uses, what the quilt says holds. A piece gets the
    thread for its fabric's colour, or for the one it is tagged with, unless that thread has a name
    already; a detail, the one for its own colour. Without `thread_for` any colour may be sewn with.
    Found are fabrics that neither the quilt nor the drawing defines, unless the quilt defines none.
    """
    reading = survey_block(root)
    findings = tuple(_undefined(root, reading, fabrics)) if fabrics else ()
    _tag_threads(root, reading, fabrics, thread_for or Thread)
    _describe(root, reading, fabrics)
    declare_prefixes(root)
    return findings


def _undefined(
    root: etree._Element, reading: Reading, fabrics: Mapping[str, Fabric]
) -> Iterator[Finding]:
    """Fabrics that nobody defines. One that bears the name of a colour is that colour."""
    defined = {*fabrics, *read_header(root).fabrics}
    users: dict[str, list[str]] = {}
    if reading.block.background:
        users[reading.block.background] = ["background"]
    for piece in reading.block.pieces:
        users.setdefault(piece.fabric, []).append(piece.label)
    for fabric, labels in users.items():
        if fabric not in defined and colour_hex(fabric) is None:
            text = f'fabric "{fabric}" is defined by nobody; add it to [fabrics]'
            yield error("fabric", ", ".join(labels), text)


def _tag_threads(
    root: etree._Element, reading: Reading, fabrics: Mapping[str, Fabric], thread_for: ThreadFor
) -> None:
    drawn_by = {(found.owner, found.part): found for found in candidates(root, ()).candidates}
    by_source: dict[str, list[Piece | Detail]] = {}
    for part in reading.block.parts:
        by_source.setdefault(part.source, []).append(part)
    for owner in reading.owners:
        threads: dict[Candidate, Thread] = {}
        for part in by_source.get(owner.source, []):
            # 5.2 is the second piece that is seen through clone 5.
            number = part.label[len(owner.label) + 1 :]
            found = drawn_by[owner.element, int(number) if number else 0]
            threads[found] = _thread_of(part, found, fabrics, thread_for)
        if len(set(threads.values())) == 1:
            _tag(owner.element, next(iter(threads.values())))
            continue
        # Several threads through one clone: what it shows bears the tags.
        for found, thread in threads.items():
            for shape in found.shapes:
                _tag(shape.element, thread)


def _thread_of(
    part: Piece | Detail, found: Candidate, fabrics: Mapping[str, Fabric], thread_for: ThreadFor
) -> Thread:
    """The thread that a piece or detail is sewn with."""
    if part.thread.name:
        return part.thread
    colour = part.thread.colour
    if isinstance(part, Piece) and "thread" not in found.tags and part.fabric in fabrics:
        colour = fabrics[part.fabric].colour
    return thread_for(colour)


def _tag(element: etree._Element, thread: Thread) -> None:
    element.set(v.THREAD, thread.colour)
    if thread.name:
        element.set(v.THREAD_NAME, thread.name)


def _describe(root: etree._Element, reading: Reading, fabrics: Mapping[str, Fabric]) -> None:
    """Describe the quilt's fabrics among those that the drawing describes or uses."""
    metadata = metadata_of(root)
    described = list(metadata.iterfind(v.META_FABRIC))
    for element in described:
        fabric = fabrics.get(element.get("name", ""))
        if fabric is not None:
            metadata.replace(element, fabric_element(fabric))
    known = {element.get("name") for element in described}
    used = [reading.block.background, *(piece.fabric for piece in reading.block.pieces)]
    for name in dict.fromkeys(used):
        if name in fabrics and name not in known:
            metadata.append(fabric_element(fabrics[name]))
