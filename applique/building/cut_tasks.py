"""The tasks of the cut sheets of all blocks, by fabric."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from applique.building.asked import CUT_FILES, CutAsked
from applique.building.block_tasks import WORKS, layers_name
from applique.building.files import BlockFiles
from applique.building.task import Facts, Task
from applique.cutting.record import RECORD
from applique.cutting.request import CutRequest
from applique.names import plain_names
from applique.quilt.project import BlockEntry, Project

CUTTING = "cutting"
"""The folder of the cut sheets of all blocks; the names of their tasks begin with it too."""


def cutting_folder(part: str) -> str:
    """The folder of the cut sheets of all blocks, or of those that a part of the quilt has."""
    return f"{CUTTING}-{part}" if part else CUTTING


@dataclass(frozen=True, eq=False)
class CutTasks:
    """The blocks whose pieces are cut together, their files by name, and what the part of the quilt
    that they are is called ("" for all of it)."""

    project: Project
    entries: tuple[BlockEntry, ...]
    files: Mapping[str, BlockFiles]
    part: str

    def tasks(self, facts: Mapping[str, Facts]) -> list[Task]:
        """One for each fabric; one for all where fabrics share mats. Known when the layers of all
        blocks are made."""
        lines: dict[str, Mapping[str, str]] = {}
        for entry in self.entries:
            first = layers_name(self.files[entry.name])
            lines[entry.name] = facts[first][CUT_FILES] if first in facts else {}
        fabrics = tuple(dict.fromkeys(fabric for files in lines.values() for fabric in files))
        if self.project.cutting.mixed:
            return [self._task("mixed", fabrics, lines)] if fabrics else []
        safe = plain_names([name or "card" for name in fabrics], "fabric")
        return [
            self._task(stem, (fabric,), lines) for stem, fabric in zip(safe, fabrics, strict=True)
        ]

    def _task(
        self, stem: str, fabrics: tuple[str, ...], lines: Mapping[str, Mapping[str, str]]
    ) -> Task:
        """The sheets of some fabrics. Every block is named, so that each keeps its letter."""
        folder = f"{cutting_folder(self.part)}/{stem}"
        blocks = []
        for entry in self.entries:
            files = tuple(file for name, file in lines[entry.name].items() if name in fabrics)
            blocks.append((entry.name, files, entry.copies if files else 1))
        project = self.project
        needs = (layers_name(self.files[name]) for name, files, _ in blocks if files)
        return Task(
            name=folder,
            group="",
            doing=f"cut sheets of {', '.join(name or 'card' for name in fabrics)}",
            work=f"{WORKS}.cutting",
            asked=CutAsked(
                fabrics=fabrics,
                blocks=tuple(blocks),
                request=self._request(fabrics),
                most_seconds=project.most_nesting_s,
                folder=folder,
                paper_mm=project.paper_mm,
            ),
            needs=tuple(needs),
            reads=tuple(file for _, files, _ in blocks for file in files),
            keeps=(f"{folder}/{RECORD}",),
        )

    def _request(self, fabrics: tuple[str, ...]) -> CutRequest:
        """What is asked of the sheets; a fabric is bought as wide as it is known to be."""
        asked = self.project.cutting
        stock = self.project.fabrics.get(fabrics[0])
        if len(fabrics) > 1 or stock is None or stock.usable_width_mm is None:
            return asked
        return replace(asked, usable_width_mm=stock.usable_width_mm)
