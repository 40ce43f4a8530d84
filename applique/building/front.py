"""The task that makes the quilt's front: index, shopping list, and the pictures of its fabrics."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from applique.building.asked import BlockShown, CutShown, FrontAsked
from applique.building.block_tasks import WORKS
from applique.building.cut_tasks import CUTTING
from applique.building.files import BlockFiles
from applique.building.folder import BuildFolder
from applique.building.link_words import cut_words, natural_order, sewn_words
from applique.building.plan import Plan
from applique.building.record import FACTS
from applique.building.running import Outcome
from applique.building.task import Task
from applique.cutting.needed import FabricNeeded
from applique.cutting.record import needed_from_record
from applique.quilt.facts import BlockFacts
from applique.quilt.index_content import Link
from applique.quilt.project import BlockEntry, Project
from applique.report import Finding

FRONT = "front"

_STEPS = ("layers", "hoopings", "proof")
"""The tasks of a block that leave files to look at."""


def front_task(
    project: Project, plan: Plan, outcomes: Mapping[str, Outcome], folder: BuildFolder
) -> Task:
    """The front of a quilt, of everything that is in its folder: what was built now, and what was
    built before."""
    asked = FrontAsked(
        project=project,
        blocks=tuple(
            _block(entry, plan.files[entry.name], plan, outcomes, folder)
            for entry in project.blocks
        ),
        cut=tuple(_cut(folder)),
        needed=tuple(_needed(folder)),
        swatches=plan.swatches,
        told=(*(finding.sentence() for finding in plan.findings), *_uncut(folder)),
    )
    return Task(FRONT, "", "index and shopping list", f"{WORKS}.front", asked)


def facts_in(outcomes: Iterable[Outcome]) -> BlockFacts | None:
    """What a block comes to, among the outcomes of its tasks; None if it was not built."""
    for outcome in outcomes:
        if outcome.facts is not None and FACTS in outcome.facts:
            return BlockFacts.from_dict(outcome.facts[FACTS])
    return None


def _block(
    entry: BlockEntry,
    files: BlockFiles,
    plan: Plan,
    outcomes: Mapping[str, Outcome],
    folder: BuildFolder,
) -> BlockShown:
    told: list[str] = []
    there: set[str] = set()
    facts = None
    if entry.name in plan.broken:
        told.append(f"could not be built: {plan.broken[entry.name]}")
    for step in _STEPS:
        name = f"{files.folder}/{step}"
        outcome, record = outcomes.get(name), folder.record(name)
        if outcome is not None and outcome.how == "failed":
            told += [f"{outcome.task.doing} failed: {outcome.message}", *_worth(outcome.findings)]
        elif record is not None:
            told += _worth(record.findings)
        if record is not None:
            there.update(folder.made_by(record))
            facts = record.facts.get(FACTS, facts)
    links = tuple(Link(words, href) for words, href in _links(files, there))
    picture = files.picture if files.picture in there else ""
    return BlockShown(entry, facts, picture, links, tuple(dict.fromkeys(told)))


def _worth(findings: Iterable[Finding]) -> list[str]:
    """What deserves a second look."""
    return [finding.sentence() for finding in findings if finding.severity != "note"]


def _links(files: BlockFiles, there: set[str]) -> list[tuple[str, str]]:
    """Everything of a block that is there, in the order in which it is used."""
    named = [
        ("Run sheet", files.run_sheet),
        ("Run sheet to print", files.run_sheet_pdf),
        ("Stitch-out", files.stitch_out),
        ("Block card", files.card),
        ("Layers", files.layers),
        ("Proof", files.proof_picture),
    ]
    sewn = natural_order(name for name in there if name.startswith(f"{files.hoopings}/"))
    loose = [(sewn_words(name, files.stem), name) for name in sewn if not name.endswith(".json")]
    return [(words, href) for words, href in named if href in there] + loose


def _uncut(folder: BuildFolder) -> list[str]:
    """That the fabric of the pieces is not reckoned, as long as there are no sheets of them all."""
    if any(task.startswith(f"{CUTTING}/") for task in folder.tasks):
        return []
    return ["What the pieces take of each fabric is known once the whole quilt has been built."]


def _cut(folder: BuildFolder) -> list[CutShown]:
    """The cut sheets of all blocks by fabric, then those of parts of the quilt."""
    shown = []
    for task in folder.tasks:
        record = folder.record(task)
        if task.startswith((f"{CUTTING}/", f"{CUTTING}-")) and record is not None:
            shown_files = (
                name for name in folder.made_by(record) if name.endswith((".svg", ".dxf", ".pdf"))
            )
            links = tuple(Link(cut_words(name), name) for name in natural_order(shown_files))
            shown.append(CutShown(_title(task, record.facts["title"]), links))
    return shown


def _title(task: str, fabrics: str) -> str:
    """What cut sheets are of, and of which part of the quilt if not of all of it."""
    part = task.partition("/")[0].removeprefix(CUTTING).removeprefix("-")
    return f"{fabrics} ({part.replace('-', ' ')})" if part else fabrics


def _needed(folder: BuildFolder) -> list[FabricNeeded]:
    """What the pieces of all blocks take."""
    found = []
    for task in folder.tasks:
        record = folder.record(task)
        if task.startswith(f"{CUTTING}/") and record is not None:
            read = [needed_from_record(kept) for kept in record.facts["needed"]]
            found += [needed for needed in read if needed is not None]
    return found
