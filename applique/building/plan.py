"""The tasks that a quilt's project comes to, and what must come before what."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from applique.building.asked import (
    CUT_FILES,
    CutAsked,
    HoopingsAsked,
    LayersAsked,
    ProofAsked,
    Swatched,
)
from applique.building.files import BlockFiles
from applique.building.running import Later
from applique.building.sources import Source, read_within, source_of
from applique.building.task import Facts, Task
from applique.cutting.record import RECORD
from applique.errors import InputError
from applique.names import plain_names
from applique.quilt.project import BlockEntry, Project
from applique.report import Finding, error

WORKS = "applique.building.works"
"""The room of the modules that do the work."""

CUTTING = "cutting"
"""The folder of the cut sheets of all blocks; the names of their tasks begin with it too."""


def cutting_folder(part: str) -> str:
    """The folder of the cut sheets of all blocks, or of those that a part of the quilt has."""
    return f"{CUTTING}-{part}" if part else CUTTING


@dataclass(frozen=True, eq=False)
class Plan:
    """The tasks of a build, those that come of them, and the blocks of which nothing can be built,
    with the reason. `files` are the blocks' files by name; `chosen` the blocks that are built;
    `swatches` the pictures of fabrics."""

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
    names = [entry.name for entry in project.blocks]
    files = {
        name: BlockFiles(stem)
        for name, stem in zip(names, plain_names(names, "block"), strict=True)
    }
    swatches, findings = _swatches(project, folder)
    tasks: list[Task] = []
    broken: dict[str, InputError] = {}
    for entry in chosen:
        try:
            source = source_of(entry, folder)
        except InputError as problem:
            broken[entry.name] = problem
            continue
        tasks += _tasks_of(entry, source, project, files[entry.name], swatches)
    layered = tuple(
        f"{files[entry.name].folder}/layers" for entry in chosen if entry.name not in broken
    )
    sheets = _Sheets(
        project, tuple(entry for entry in chosen if entry.name not in broken), files, part
    )
    return Plan(
        tasks=tuple(tasks),
        later=(Later(layered, sheets.tasks),),
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
            found[name] = Swatched(read_within(folder / stock.swatch.file, folder), stock.swatch)
        except InputError as problem:
            told.append(error("swatch", name, str(problem)))
    return found, told


def _tasks_of(
    entry: BlockEntry,
    source: Source,
    project: Project,
    files: BlockFiles,
    swatches: Mapping[str, Swatched],
) -> list[Task]:
    """What is made of one block. What takes longest comes first, so that it is not waited for."""
    name = entry.name
    fabrics = {stock.fabric.name: stock.fabric for stock in project.fabrics.values()}
    first = f"{files.folder}/layers"
    # How often a block is made, and in which week, is no concern of its layers.
    bare = replace(entry, copies=1, week=0, line=0)
    asked = LayersAsked(
        bare,
        source,
        fabrics,
        project.spools,
        project.defaults,
        files.layers,
        files.cut_lines,
        files.steps,
    )
    sewn = HoopingsAsked(
        files,
        project.machine,
        project.hooping,
        project.handwork,
        project.guidance,
        project.paper_mm,
        swatches,
    )
    proved = ProofAsked(files.layers, files.proof, files.proof_picture, files.picture, swatches)

    def after(what: str, doing: str, asked: Any) -> Task:
        return Task(
            name=f"{files.folder}/{what}",
            group=name,
            doing=f"{name}: {doing}",
            work=f"{WORKS}.{what}",
            asked=asked,
            needs=(first,),
            reads=(files.layers,),
        )

    return [
        Task(first, name, f"{name}: layers", f"{WORKS}.layers", asked, keeps=(files.steps,)),
        after("hoopings", "hoopings and run sheet", sewn),
        after("proof", "proof and picture", proved),
    ]


@dataclass(frozen=True, eq=False)
class _Sheets:
    """The tasks of the cut sheets, known when all layers are made."""

    project: Project
    entries: tuple[BlockEntry, ...]
    files: Mapping[str, BlockFiles]
    part: str

    def tasks(self, facts: Mapping[str, Facts]) -> list[Task]:
        """One for each fabric; one for all where fabrics share mats."""
        lines = {
            entry.name: facts[self._layers(entry)][CUT_FILES]
            for entry in self.entries
            if self._layers(entry) in facts
        }
        fabrics = tuple(dict.fromkeys(fabric for files in lines.values() for fabric in files))
        if self.project.cutting.mixed:
            return [self._task("mixed", fabrics, lines)] if fabrics else []
        safe = plain_names([name or "card" for name in fabrics], "fabric")
        return [
            self._task(stem, (fabric,), lines) for stem, fabric in zip(safe, fabrics, strict=True)
        ]

    def _layers(self, entry: BlockEntry) -> str:
        return f"{self.files[entry.name].folder}/layers"

    def _task(
        self, stem: str, fabrics: tuple[str, ...], lines: Mapping[str, Mapping[str, str]]
    ) -> Task:
        folder = f"{cutting_folder(self.part)}/{stem}"
        made = [entry for entry in self.entries if entry.name in lines]
        blocks = tuple(
            (
                entry.name,
                tuple(file for fabric, file in lines[entry.name].items() if fabric in fabrics),
                entry.copies,
            )
            for entry in made
        )
        project = self.project
        return Task(
            folder,
            "",
            f"cut sheets of {', '.join(name or 'card' for name in fabrics)}",
            f"{WORKS}.cutting",
            CutAsked(
                fabrics, blocks, project.cutting, project.most_nesting_s, folder, project.paper_mm
            ),
            needs=tuple(self._layers(entry) for entry in made),
            reads=tuple(file for _, files, _ in blocks for file in files),
            keeps=(f"{folder}/{RECORD}",),
        )
