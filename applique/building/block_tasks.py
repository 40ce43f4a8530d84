"""The tasks of one block: its layers first, and then all that is made of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from applique.building.asked import (
    FABRICS,
    HoopingsAsked,
    LayersAsked,
    ProofAsked,
    Swatched,
)
from applique.building.files import BlockFiles
from applique.building.sources import Source
from applique.building.task import Facts, Task
from applique.quilt.project import BlockEntry, Project

WORKS = "applique.building.works"
"""The room of the modules that do the work."""


def layers_name(files: BlockFiles) -> str:
    """The name of the task that makes a block's layers."""
    return f"{files.folder}/layers"


@dataclass(frozen=True, eq=False)
class BlockTasks:
    """A block of a project, its files, and the pictures of all fabrics that have one."""

    entry: BlockEntry
    source: Source
    project: Project
    files: BlockFiles
    swatches: Mapping[str, Swatched]

    @property
    def layers(self) -> Task:
        """The task that comes first."""
        files, project = self.files, self.project
        # How often a block is made, and in which week, is no concern of its layers.
        bare = replace(self.entry, copies=1, week=0, line=0)
        asked = LayersAsked(
            entry=bare,
            source=self.source,
            fabrics={stock.fabric.name: stock.fabric for stock in project.fabrics.values()},
            spools=project.spools,
            defaults=project.defaults,
            layers=files.layers,
            cut_lines=files.cut_lines,
            steps=files.steps,
        )
        name = self.entry.name
        doing, work = f"{name}: layers", f"{WORKS}.layers"
        return Task(layers_name(files), name, doing, work, asked, keeps=(files.steps,))

    def others(self, facts: Mapping[str, Facts]) -> list[Task]:
        """What is made of the layers, known when these are there: pictures show only the block's
        own fabrics. What takes longest comes first."""
        first = layers_name(self.files)
        if first not in facts:
            return []
        swatches = {
            name: self.swatches[name] for name in facts[first][FABRICS] if name in self.swatches
        }
        files, project = self.files, self.project
        sewn = HoopingsAsked(
            files=files,
            machine=project.machine,
            hooping=project.hooping,
            handwork=project.handwork,
            guidance=project.guidance,
            paper_mm=project.paper_mm,
            swatches=swatches,
        )
        proved = ProofAsked(files.layers, files.proof, files.proof_picture, files.picture, swatches)
        return [
            self._after("proof", "proof and picture", proved),
            self._after("hoopings", "hoopings and run sheet", sewn),
        ]

    def _after(self, what: str, doing: str, asked: HoopingsAsked | ProofAsked) -> Task:
        return Task(
            name=f"{self.files.folder}/{what}",
            group=self.entry.name,
            doing=f"{self.entry.name}: {doing}",
            work=f"{WORKS}.{what}",
            asked=asked,
            needs=(layers_name(self.files),),
            reads=(self.files.layers,),
        )
