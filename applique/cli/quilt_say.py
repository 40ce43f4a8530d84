"""What `applique quilt` says at the end: what went wrong, and a table of the blocks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from itertools import islice
from pathlib import Path

from applique.building.asked import INDEX, SHOPPING
from applique.building.build import Built
from applique.building.front import facts_in
from applique.building.running import Outcome
from applique.cli.say import say, say_error, say_findings
from applique.cli.table import aligned
from applique.quilt.facts import BlockFacts
from applique.quilt.project import BlockEntry, Project
from applique.report import Finding, counted, errors_in, first_of

_HEADINGS = ("block", "", "stitches", "stops", "hoopings", "machine", "by hand", "to look at")

_MOST_BROKEN = 50
"""Blocks whose files can't be read that are told one by one."""

_MOST_NAMED = 3
"""Things named in one sentence at most."""


def say_built(project: Project, built: Built, folder: Path) -> None:
    """Sum up a build."""
    for name, problem in islice(built.plan.broken.items(), _MOST_BROKEN):
        say_findings(problem.findings)
        say_error(f"{name}: {problem}")
    if len(built.plan.broken) > _MOST_BROKEN:
        say_error(f"{len(built.plan.broken) - _MOST_BROKEN} more blocks can't be read either")
    say_findings([*built.findings, *(it for outcome in built.outcomes for it in _errors(outcome))])
    for message, tasks in _by_message(built.failures).items():
        say_error(f"{first_of(tasks, _MOST_NAMED)}: {message}")
    rows = [_row(entry, built) for entry in built.plan.chosen]
    for line in aligned([_HEADINGS, *rows], 2):
        say(line)
    how = Counter(outcome.how for outcome in built.outcomes)
    left = f", {how['left out']} left out" if how["left out"] else ""
    say(
        f"{project.name}: {counted(len(built.outcomes), 'task', 'tasks')}; {how['built']} built, "
        f"{how['kept']} unchanged, {how['failed']} failed{left}"
    )
    for name in (INDEX, SHOPPING):
        if (folder / name).is_file():
            say(f"  {folder / name}")
    if not built.is_whole:
        say("What failed was not built; files of it that are there are of an earlier build.")
    say(
        "Open the index in a browser. Before you sew: test on scraps, keep fingers away from the "
        "needle and blades, and follow your machine's own instructions."
    )


def _errors(outcome: Outcome) -> list[Finding]:
    """What is wrong in a block, told with its name."""
    block = outcome.task.group
    return [
        replace(finding, object=", ".join(word for word in (block, finding.object) if word))
        for finding in errors_in(outcome.findings)
    ]


def _by_message(failures: Iterable[Outcome]) -> dict[str, list[str]]:
    """What failed by what is told of it, so that nothing is told twice."""
    found: dict[str, list[str]] = {}
    for outcome in failures:
        found.setdefault(outcome.message, []).append(outcome.task.doing)
    return found


def _row(entry: BlockEntry, built: Built) -> tuple[str, ...]:
    """A block in the table."""
    mine = [outcome for outcome in built.outcomes if outcome.task.group == entry.name]
    facts = facts_in(mine)
    if facts is None:
        return (entry.name, _state(entry, built, mine), "", "", "", "", "", "")
    to_look_at = sum(len(_told(outcome)) for outcome in mine)
    return (entry.name, _state(entry, built, mine), *_figures(facts), str(to_look_at))


def _state(entry: BlockEntry, built: Built, mine: list[Outcome]) -> str:
    if entry.name in built.plan.broken or any(it.how in ("failed", "left out") for it in mine):
        return "failed"
    return "built" if any(outcome.how == "built" for outcome in mine) else "unchanged"


def _figures(facts: BlockFacts) -> tuple[str, ...]:
    return (
        str(facts.stitches),
        str(facts.stops),
        str(len(facts.hoopings)),
        f"{facts.machine_minutes:.0f} min",
        f"{facts.hand_minutes:.0f} min",
    )


def _told(outcome: Outcome) -> list[str]:
    return [it.sentence() for it in outcome.findings if it.severity == "warning"]
