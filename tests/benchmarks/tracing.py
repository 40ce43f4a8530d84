"""How near traced outlines come to the ink and to the goals, on made pages with ground truth.

`python -m tests.benchmarks.tracing [--seed 9000] [--pages 8] [--sets normal,hard]` traces
pages that nobody has looked at and prints each figure beside its goal; goals are for scans at 300
dpi. It needs ../shared/tools/make_scans.py.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence

import numpy as np

from tests.benchmarks.figures import Figure, NotHereError, progress, run_alone
from tests.benchmarks.traced import Tally, tally_page
from tests.trace.scans import ABSENT, GENERATOR, fine_generator, generator, made_page

SUITE = "tracing"

Told = tuple[str, str, bool | None]
"""A figure, its goal, and whether that is met."""


def figures_of(name: str, tally: Tally) -> Iterator[Figure]:
    """What was counted over the pages of a set."""
    least_found, least_counted = GOALS.get(name, (1.0, 1.0))
    widths = [abs(off) for _, off in tally.gaps if off is not None]
    told: dict[str, Told] = {
        "found / false": (
            f"{tally.found} of {tally.pieces} / {tally.false}",
            "all / 0" if least_found == 1 else f"{100 * least_found:g} % / 0",
            tally.found >= least_found * tally.pieces and tally.false == 0,
        ),
        "contour to ink, mm RMS / p95 / max": _three(tally.contour, CONTOUR_MM),
        "curves to ink, mm RMS / p95 / max": _three(tally.final, CURVES_MM),
        "silent errors": (str(len(tally.silent)), "0", not tally.silent),
        "gaps closed and flagged": _share([flagged for flagged, _ in tally.gaps], 1.0),
        "gaps told as such, not hidden by other ink": (f"{len(widths)}", "", None),
        "width of gaps within 0.15 mm": _share([off <= 0.15 for off in widths], 1.0),
        "touched: within 0.15 mm": _share([off <= 0.15 for _, off in tally.touched], 0.95),
        "touched: flagged": _share([flagged for flagged, _ in tally.touched], 1.0),
        "corners counted right": _share(tally.counts_exact, least_counted),
        "corner off the ink's tip, outward p95": _p95(tally.tips_mm, OUTWARD_MM),
        "corner off template, outward p95": _p95(tally.convex_mm, None),
        "corner off template, inward p95": _p95(tally.concave_mm, INWARD_MM),
        "cubics at 0.05 mm, median / p95": _curves(tally.curves_at_goal, CUBICS),
        "cubics as written, median / p95": _curves(tally.curves, None),
        "s a page, median / most": _seconds(tally.seconds),
        "outlines flagged": (f"{tally.flagged} of {tally.found}", "", None),
        "pages in reading order": _share(tally.ordered, 1.0),
    }
    for figure, (measured, goal, met) in told.items():
        if name in GOALS:
            yield Figure(SUITE, f"{name}: {figure}", measured, goal, met)
        else:
            yield Figure(SUITE, f"{name}: {figure}", measured)


CONTOUR_MM = (0.010, 0.018, 0.10)
CURVES_MM = (None, 0.03, 0.08)
CUBICS = (12, 20)
OUTWARD_MM, INWARD_MM = 0.15, 0.30
MOST_PAGE_S = 1.0

GOALS = {
    "easy": (1.0, 0.99),
    "normal": (1.0, 0.99),
    "hard": (0.995, 0.95),
    "normal-fine": (1.0, 0.99),
    "hard-fine": (0.995, 0.95),
}
"""The sets that are held to goals: the share of templates found, and of corners counted right."""

NONE: Told = ("-", "", None)


def _three(errors: Sequence[np.ndarray], most: Sequence[float | None]) -> Told:
    if not errors:
        return NONE
    off = np.concatenate(errors)
    values = [np.sqrt(np.mean(off**2)), np.quantile(off, 0.95), off.max()]
    goal = " / ".join("-" if limit is None else f"{limit:g}" for limit in most)
    pairs = zip(values, most, strict=True)
    met = all(limit is None or value <= limit for value, limit in pairs)
    return "{:.4f} / {:.4f} / {:.3f}".format(*values), goal, met


def _share(flags: Sequence[bool], least: float) -> Told:
    if not flags:
        return NONE
    goal = "all" if least == 1 else f"{100 * least:g} %"
    good = sum(flags)
    return f"{good} of {len(flags)}", goal, good >= least * len(flags)


def _p95(values: Sequence[float], most_mm: float | None) -> Told:
    if not values:
        return NONE
    p95 = float(np.quantile(values, 0.95))
    told = f"{p95:.3f} mm of {len(values)}"
    return (told, "", None) if most_mm is None else (told, f"{most_mm:g} mm", p95 <= most_mm)


def _curves(counts: Sequence[int], most: tuple[int, int] | None) -> Told:
    if not counts:
        return NONE
    median, p95 = np.median(counts), np.quantile(counts, 0.95)
    told = f"{median:.0f} / {p95:.0f}"
    if most is None:
        return told, "", None
    return told, f"{most[0]} / {most[1]}", median <= most[0] and p95 <= most[1]


def _seconds(seconds: Sequence[float]) -> Told:
    median = np.median(seconds)
    return f"{median:.2f} / {max(seconds):.2f}", f"{MOST_PAGE_S:g} / -", median <= MOST_PAGE_S


SETS = {
    "easy": ("scan", 300, "easy"),
    "normal": ("scan", 300, "normal"),
    "hard": ("scan", 300, "hard"),
    "normal-fine": ("scan", 300, "normal"),
    "hard-fine": ("scan", 300, "hard"),
    "150": ("scan", 150, "normal"),
    "600": ("scan", 600, "normal"),
    "photo": ("photo", 300, "normal"),
}
"""Sets of pages. As it stands the generator paints all ink 0.0097 mm fatter than its own truth, so
that an instrument without any error would miss its goal; the fine sets are the same pages painted
as their truth has them (see `tests.trace.scans.fine_generator`)."""


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """Trace pages of the sets asked for; pieces that miss a figure are told beside it."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("--seed", type=int, default=9000)
    parser.add_argument("--pages", type=int, default=8)
    parser.add_argument("--sets", default=",".join(SETS))
    parser.add_argument("--no-tremor", action="store_true", help="a hand that never trembles")
    arguments = parser.parse_args(words)
    if not GENERATOR.exists():
        raise NotHereError(ABSENT)
    makes = {True: fine_generator(), False: generator()}
    changes = {"overrides": {"wob": 0.0}} if arguments.no_tremor else {}
    for name in arguments.sets.split(","):
        kind, dpi, level = SETS[name]
        make = makes[name.endswith("fine")]
        tally = Tally()
        for seed in range(arguments.seed, arguments.seed + arguments.pages):
            paper = ("letter", "a4")[seed % 2]
            tally_page(made_page(make, seed, dpi, paper, kind, level, **changes), tally)
        yield from figures_of(name, tally)
        for remark in (*tally.silent, *tally.far, *tally.miscounted):
            progress(remark)


if __name__ == "__main__":
    sys.exit(run_alone(figures))
