"""The sweep's table: every figure beside its goal, and the worst drawings of each."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tests.sweep.measure import Outcome, Row

WORST = 12


@dataclass(frozen=True)
class Figure:
    """A figure of the rows: how it is told, its goal, whether a row meets it, and how bad it is."""

    name: str
    goal: str
    of: Callable[[Row], float | None]
    meets: Callable[[float], bool]
    badness: Callable[[float], float]


FIGURES = (
    Figure(
        "cover of the visible band",
        ">= 99.9 % in 99 % of shapes",
        lambda row: row.covered,
        lambda value: value >= 0.999,
        lambda value: -value,
    ),
    Figure(
        "overspill",
        "<= 0.1 % of the band",
        lambda row: row.overspill,
        lambda value: value <= 0.001,
        lambda value: value,
    ),
    Figure(
        "outer rail short by",
        "<= 0.1 mm",
        lambda row: row.rail_short_mm,
        lambda value: value <= 0.1,
        lambda value: value,
    ),
    Figure(
        "most needle points in 1 mm",
        "<= 6 in 99 % of shapes",
        lambda row: row.crowding if row.edge == "satin" else None,
        lambda value: value <= 6,
        lambda value: value,
    ),
    Figure(
        "shortest satin stitch",
        ">= 0.5 mm",
        lambda row: row.shortest_mm if row.edge == "satin" else None,
        lambda value: value >= 0.5 - 0.002,
        lambda value: -value,
    ),
    Figure(
        "longest satin stitch",
        "<= 7 mm",
        lambda row: row.longest_mm if row.edge == "satin" else None,
        lambda value: value <= 7.0,
        lambda value: value,
    ),
    Figure(
        "blanket pitches of a side differ by",
        "<= 1 %",
        lambda row: row.unequal_percent,
        lambda value: value <= 1.0,
        lambda value: value,
    ),
    Figure(
        "blanket pitch off its setting by",
        "<= 20 %",
        lambda row: row.off_setting_percent,
        lambda value: value <= 20.1,
        lambda value: value,
    ),
    Figure(
        "bite off the normal or bisector by",
        "<= 5 degrees",
        lambda row: row.askew_degrees,
        lambda value: value <= 5.0,
        lambda value: value,
    ),
)


def report(outcomes: Sequence[Outcome]) -> str:
    """The table of a sweep as Markdown, with what was refused and the worst drawings."""
    rows = [row for outcome in outcomes for row in outcome.rows]
    refused = [outcome for outcome in outcomes if outcome.refused]
    broken = [outcome for outcome in outcomes if outcome.exception]
    lines = [
        f"{len(outcomes)} drawings, {len(rows)} pieces and details; {len(refused)} drawings "
        f"refused with a sentence, {len(broken)} ended in an exception (goal 0)",
        "",
        "| figure | goal | pieces | meet it | worst |",
        "|---|---|---|---|---|",
    ]
    tails = []
    for figure in FIGURES:
        found = [(figure.of(row), row) for row in rows]
        known = [(value, row) for value, row in found if value is not None]
        if not known:
            continue
        known.sort(key=lambda item: -figure.badness(item[0]))
        meeting = sum(figure.meets(value) for value, _ in known) / len(known)
        worst = known[0][0]
        told = (figure.name, figure.goal, f"{len(known)}", f"{100 * meeting:.2f} %", f"{worst:.4g}")
        lines.append(f"| {' | '.join(told)} |")
        failing = [item for item in known if not figure.meets(item[0])][:WORST]
        told = ", ".join(f"{row.drawing}:{row.piece} {value:.4g}" for value, row in failing)
        if told:
            tails.append(f"{figure.name}: {told}")
    lines += [*_silent(rows), *_times(rows), "", *tails]
    lines += [f"refused: {item.drawing}: {item.refused}" for item in refused[:WORST]]
    lines += [f"exception: {item.drawing}: {item.exception}" for item in broken[:WORST]]
    return "\n".join(lines) + "\n"


def _silent(rows: Sequence[Row]) -> list[str]:
    """Pieces whose edge leaves more than 1 % bare and about which nothing is said."""
    bare = [row for row in rows if row.covered is not None and row.covered < 0.99]
    silent = [row for row in bare if not row.findings]
    return [f"| cover under 99 % without a finding | 0 | {len(bare)} under | | {len(silent)} |"]


def _times(rows: Sequence[Row]) -> list[str]:
    times = [row.milliseconds for row in rows if row.milliseconds is not None]
    if not times:
        return []
    median = statistics.median(times)
    return [f"| satin with underlay, median | <= 15 ms | {len(times)} | | {median:.1f} ms |"]
