"""docs/performance.md: one section a suite, each with its own day and machine."""

from __future__ import annotations

import os
import platform
import re
from collections.abc import Mapping, Sequence

from tests.benchmarks.figures import Figure
from tests.benchmarks.suites import ROOT, SUITES, Suite

PAGE = ROOT / "docs" / "performance.md"

_HEAD = """# Performance

Made by `uv run python -m tests.benchmarks`; don't edit it. How each figure is measured and what it
means is told in [benchmarks](benchmarks.md). Times are ratios within one run where there is a fair
peer; seconds and frames are those of the machine that is named. Figures without a goal are there to
be watched.
"""

_NOT_YET = "Not measured yet."


def page(told: Mapping[str, str]) -> str:
    """The whole page, from the text under the heading of each suite, by its name."""
    parts = [_HEAD, *(_section(suite, told.get(suite.name, _NOT_YET)) for suite in SUITES)]
    return "\n".join(parts)


def _section(suite: Suite, text: str) -> str:
    return f"## {suite.name}\n\n{suite.title}.\n\n{text.strip()}\n"


def told_before() -> dict[str, str]:
    """What the page says of each suite now, its title left out."""
    if not PAGE.exists():
        return {}
    parts = re.split(r"^## (.*)\n\n.*\n\n", PAGE.read_text(encoding="utf-8"), flags=re.M)
    return dict(zip(parts[1::2], (text.strip() for text in parts[2::2]), strict=True))


def section_text(figures: Sequence[Figure], day: str, sample: bool) -> str:
    """When and where a suite was measured, and its figures as a table."""
    rows = [
        f"| {_cell(it.name)} | {_cell(it.goal)} | {_cell(it.measured)} | {it.verdict} |"
        for it in figures
    ]
    return "\n".join(
        [
            f"{'A sample' if sample else 'The whole'}, {day}, {machine()}.",
            "",
            "| figure | goal | measured | met |",
            "|---|---|---|---|",
            *rows,
        ]
    )


def machine() -> str:
    """Python, cores and system, and nothing that tells whose machine it is."""
    version = ".".join(platform.python_version_tuple()[:2])
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return f"Python {version}, {cores} cores, {platform.system()} {platform.machine()}"


def _cell(text: str) -> str:
    return text.replace("|", "/")
