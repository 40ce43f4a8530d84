"""The tasks that a quilt's project comes to, and what must come before what."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from applique.building.asked import Swatched
from applique.building.block_tasks import BlockTasks, layers_name
from applique.building.cut_tasks import CutTasks
from applique.building.files import BlockFiles
from applique.building.running import Later
from applique.building.sources import read_within, source_of
from applique.building.task import Task
from applique.errors import InputError
from applique.quilt.project import BlockEntry, Project
from applique.report import Finding, error


@dataclass(frozen=True, eq=False)
class Plan:
    """The tasks of a build, those that come of them, and the blocks of which nothing can be built,
    with the reason. `files` are the blocks' files by name; `chosen` the blocks that are built, and
    `part` what they are called if they are not all ("" else); `swatches` the fabrics' pictures."""

    tasks: tuple[Task, ...]
    later: tuple[Later, ...]
    broken: Mapping[str, InputError]
    files: Mapping[str, BlockFiles]
    chosen: tuple[BlockEntry, ...]
    part: str
    swatches: Mapping[str, Swatched]
    findings: tuple[Finding, ...] = ()


def plan_of(project: Project, folder: Path, chosen: Sequence[BlockEntry], part: str) -> Plan:
    """The tasks for some blocks of a project whose files lie in a folder. `part` is what the chosen
    blocks are called if they are not all: their cut sheets go into a folder of that name."""
    files = {entry.name: BlockFiles(entry.stem) for entry in project.blocks}
    swatches, findings = _swatches(project, folder)
    blocks: list[BlockTasks] = []
    broken: dict[str, InputError] = {}
    for entry in chosen:
        try:
            source = source_of(entry, folder)
        except InputError as problem:
            broken[entry.name] = problem
            continue
        blocks.append(BlockTasks(entry, source, project, files[entry.name], swatches))
    sheets = CutTasks(project, tuple(chosen), files, part)
    layered = tuple(layers_name(block.files) for block in blocks)
    return Plan(
        tasks=tuple(block.layers for block in blocks),
        later=(
            *(Later((layers_name(block.files),), block.others) for block in blocks),
            Later(layered, sheets.tasks),
        ),
        broken=broken,
        files=files,
        chosen=tuple(chosen),
        part=part,
        swatches=swatches,
        findings=tuple(findings),
    )


def _swatches(project: Project, folder: Path) -> tuple[dict[str, Swatched], list[Finding]]:
    """The swatches that can be read, by fabric, and a fault for each that can't: a fabric without
    is shown in its colour."""
    found: dict[str, Swatched] = {}
    told = []
    for name, stock in project.fabrics.items():
        if stock.swatch is None:
            continue
        try:
            found[name] = Swatched(read_within(stock.swatch.file, folder), stock.swatch)
        except InputError as problem:
            told.append(error("swatch", name, str(problem)))
    return found, told
