"""A whole quilt built into a folder: the plan, the run, and what is told of it at the end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from applique.building.cut_tasks import CUTTING, cutting_folder
from applique.building.digest import digest_of
from applique.building.folder import KEPT, BuildFolder, check_folder
from applique.building.front import FRONT, front_task
from applique.building.lock import locked
from applique.building.plan import Plan, plan_of
from applique.building.running import Outcome, Run, Watcher
from applique.building.sources import spools_of
from applique.building.workers import Workers
from applique.errors import InputError
from applique.names import plain_names
from applique.quilt.project import BlockEntry, Project
from applique.report import Finding, errors_in

_LONGEST_PART = 40
"""Letters of what a part of the quilt is called."""


@dataclass(frozen=True, eq=False)
class Built:
    """What became of a build: the blocks that were asked for, the outcome of every task by name,
    the blocks whose files could not be read, and what deserves a second look."""

    plan: Plan
    outcomes: tuple[Outcome, ...]
    findings: tuple[Finding, ...]

    @property
    def failures(self) -> tuple[Outcome, ...]:
        """The tasks that could not be done."""
        return tuple(outcome for outcome in self.outcomes if outcome.how == "failed")

    @property
    def is_whole(self) -> bool:
        """Whether everything that was asked for is there."""
        told = [finding for outcome in self.outcomes for finding in outcome.findings]
        return not (self.failures or self.plan.broken or errors_in([*self.findings, *told]))


def chosen_blocks(project: Project, names: Sequence[str], week: int | None) -> list[BlockEntry]:
    """The blocks of some names, or of a week; all if neither is asked for. Raises InputError if
    there are none."""
    there = ", ".join(entry.name for entry in project.blocks)
    unknown = [name for name in names if project.block(name) is None]
    if unknown:
        raise InputError(f"the quilt has no block {', '.join(unknown)}; it has {there}")
    chosen = [
        entry
        for entry in project.blocks
        if (not names or entry.name in names) and (week is None or entry.week == week)
    ]
    if not chosen:
        raise InputError(f"no block that was asked for is of week {week}; blocks are {there}")
    return chosen


def build_quilt(
    project: Project,
    folder: Path,
    into: Path,
    chosen: Sequence[BlockEntry],
    jobs: int,
    watcher: Watcher,
) -> Built:
    """Build some blocks of a project whose files lie in `folder`, in so many processes.

    Whatever can't be built stops nothing else. Raises InputError if the table of threads can't be
    read, OutputError if the folder can't be used or another build is running in it.
    """
    project = replace(project, spools=spools_of(project, folder))
    plan = plan_of(project, folder, chosen, _part(project, chosen))
    check_folder(into)  # Before anything is written.
    with locked(into / KEPT), Workers(jobs) as workers:
        out = BuildFolder(into)
        out.clear_parts()
        run = Run(out, workers, watcher)
        outcomes = run.do(plan.tasks, plan.later)
        findings = list(plan.findings)
        whole = not plan.broken and all(it.facts is not None for it in outcomes.values())
        if whole:
            findings += _without_the_old(out, set(outcomes), plan.part)
        outcomes = run.do([front_task(project, plan, outcomes, out)], ())
    return Built(plan, tuple(outcomes.values()), tuple(findings))


def _part(project: Project, chosen: Sequence[BlockEntry]) -> str:
    """What the blocks that are built are called together, in plain letters; "" for all blocks."""
    if len(chosen) == len(project.blocks):
        return ""
    weeks = {entry.week for entry in chosen}
    week = next(iter(weeks))
    if weeks == {week} and all(e.week != week or e in chosen for e in project.blocks) and week:
        return f"week-{week}"
    [name] = plain_names([" ".join(entry.name for entry in chosen)], "some")
    told = name if len(name) <= _LONGEST_PART else f"{name[:_LONGEST_PART]}-{_short(chosen)}"
    return f"blocks-{told}"


def _short(chosen: Sequence[BlockEntry]) -> str:
    """A few letters that tell some blocks from others."""
    return digest_of([entry.name for entry in chosen])[:6]


def _without_the_old(folder: BuildFolder, current: set[str], part: str) -> list[Finding]:
    """Remove what earlier builds made that is no longer part of the quilt; of a part of the quilt,
    its cut sheets. Sheets of other parts stay."""
    sheets = f"{cutting_folder(part)}/"
    told = []
    for task in folder.tasks:
        is_old = task.startswith(sheets) if part else not task.startswith(f"{CUTTING}-")
        if is_old and task not in current and task != FRONT:
            told += folder.drop(task)
    return told
