"""A block's layers: its drawing, or its layout composed, in the quilt's fabrics and threads."""

from __future__ import annotations

import copy
import io
from collections.abc import Callable, Iterable, Mapping

from lxml import etree

from applique.building.asked import CUT_FILES, FABRICS, LayersAsked
from applique.building.shelf import StepShelf
from applique.building.task import Given, Made
from applique.errors import InputError
from applique.files import parse_svg, svg_bytes
from applique.library.compose import compose_block
from applique.library.layout import read_layout
from applique.library.shelf import Library, read_library
from applique.model import Thread
from applique.names import plain_names
from applique.pipeline import make_layers, refresh_layers
from applique.quilt.project import BlockEntry
from applique.report import Finding, errors_in
from applique.settings import plain
from applique.svg import vocabulary as v
from applique.svg.dressing import dress
from applique.svg.read import Request
from applique.svg.tagged import read_steps
from applique.svg.tagging import metadata_of
from applique.threads.nearest import nearest_spool
from applique.threads.spool import Spool
from applique.units import compact


def make(asked: LayersAsked, given: Given) -> Made:
    """The layered block, and its cut lines alone; raises InputError if it can't be sewn."""
    tree, findings = _drawing(asked)
    root = tree.getroot()
    root.set(v.ROOT_BLOCK, asked.entry.name)
    if asked.entry.seam_allowance_mm is not None:
        root.set(v.ROOT_SEAM_ALLOWANCE, compact(asked.entry.seam_allowance_mm))
    _set_defaults(root, asked.defaults)
    _check_size(root, asked.entry)
    findings += dress(root, asked.fabrics, _thread_for(asked.spools))
    if errors_in(findings):
        raise InputError(f"{asked.entry.file} can't be sewn as it is", errors_in(findings))
    shelf = StepShelf(given.before.get(asked.steps))
    findings += _layered(root, asked, shelf)
    lines = _cut_lines(root)
    safe = plain_names([fabric or "card" for fabric in lines], "fabric")
    cut_files = {
        fabric: f"{asked.cut_lines}/{stem}.svg" for fabric, stem in zip(lines, safe, strict=True)
    }
    files = {cut_files[fabric]: data for fabric, data in lines.items()}
    return Made(
        {asked.layers: svg_bytes(tree), asked.steps: shelf.as_bytes(), **files},
        {CUT_FILES: cut_files, FABRICS: _shown(root, cut_files)},
        tuple(dict.fromkeys(findings)),
    )


def _drawing(asked: LayersAsked) -> tuple[etree._ElementTree, list[Finding]]:
    source = asked.source
    if not asked.entry.is_layout:
        return parse_svg(io.BytesIO(source.data), source.name), []
    try:
        layout = read_layout(source.data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise InputError(f"{source.name}: is no text in UTF-8; save it anew") from None
    except InputError as problem:
        raise InputError(f"{source.name}: {problem}", problem.findings) from None
    libraries = [
        read_library(parse_svg(io.BytesIO(data), name).getroot()) for name, data in source.libraries
    ]
    composed = compose_block(layout, libraries, {})
    return composed.tree, list(composed.findings)


def _library(name: str, data: bytes) -> Library:
    try:
        return read_library(parse_svg(io.BytesIO(data), name).getroot())
    except InputError as problem:
        text = str(problem)
        named = text if text.startswith(name) else f"{name}: {text}"
        raise InputError(named, problem.findings) from None


def _layered(root: etree._Element, asked: LayersAsked, shelf: StepShelf) -> tuple[Finding, ...]:
    """Make the layers; in a block that has some already, what was edited by hand is kept."""
    request = Request((), asked.entry.settings, asked.entry.finished_mm)
    if not asked.entry.is_layout and read_steps(root).steps and not asked.entry.settings:
        if asked.entry.finished_mm is not None:
            root.set(v.ROOT_FINISHED, "x".join(compact(side) for side in asked.entry.finished_mm))
        return refresh_layers(root).findings
    return make_layers(root, request, sewing=shelf.sew).findings


def _check_size(root: etree._Element, entry: BlockEntry) -> None:
    """Raise InputError if nobody has said how large the block is: no quilt is reckoned then."""
    if entry.finished_mm is None and root.get(v.ROOT_FINISHED) is None:
        raise InputError(
            f"{entry.file}: nobody has said how large the finished block is; write "
            'finished = "254x254" under its [[block]]'
        )


def _set_defaults(root: etree._Element, defaults: Mapping[str, float | str]) -> None:
    """Write down the quilt's settings where the block has none of its own."""
    if not defaults:
        return
    metadata = metadata_of(root)
    found = metadata.find(v.META_DEFAULTS)
    if found is None:
        found = etree.SubElement(metadata, v.META_DEFAULTS, nsmap={"ap": v.AP})
    for name, value in defaults.items():
        if found.get(name) is None:
            found.set(name, plain(value))


def _thread_for(spools: tuple[Spool, ...]) -> Callable[[str], Thread] | None:
    """What gives the thread for a colour; None where any colour may be sewn."""
    if not spools:
        return None

    def nearest(colour: str) -> Thread:
        return nearest_spool(colour, spools).thread

    return nearest


def _cut_lines(root: etree._Element) -> dict[str, bytes]:
    """The document with nothing but its header and the cut lines of one fabric, for each fabric in
    order of first use; under "" the templates, which are cut from card."""
    lines: dict[str, list[etree._Element]] = {}
    for layer in (child for child in root if child.get(v.ROLE) == v.ROLE_CUTTING):
        for path in layer.iter(v.svg("path")):
            if path.get(v.CUT) is not None:
                is_template = path.get(v.CUT) == "template"
                lines.setdefault("" if is_template else path.get(v.FABRIC, ""), []).append(path)
    return {fabric: _alone(root, paths) for fabric, paths in lines.items()}


def _shown(root: etree._Element, cut: Iterable[str]) -> list[str]:
    """The fabrics that show in the block: those that are cut, and the background."""
    found = [*cut, root.get(v.ROOT_BACKGROUND, "")]
    return list(dict.fromkeys(name for name in found if name))


def _alone(root: etree._Element, paths: list[etree._Element]) -> bytes:
    """A document of some cut lines of another, under the same header."""
    alone = copy.copy(root)
    del alone[:]
    metadata = root.find(v.svg("metadata"))
    if metadata is not None:
        alone.append(copy.deepcopy(metadata))
    layer = paths[0].getparent()
    assert layer is not None
    group = copy.copy(layer)
    del group[:]
    group.extend(copy.deepcopy(path) for path in paths)
    alone.append(group)
    return svg_bytes(etree.ElementTree(alone))
