"""The whole sweep: `python -m tests.sweep`. See docs/benchmarks.md.

Thousands of drawings nobody here drew become layers and are proved; the report holds every figure
beside its goal.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from functools import partial
from pathlib import Path

from applique.cli.arguments import assignment
from tests.sweep.artwork import SETS, NoArtworkError, drawings
from tests.sweep.measure import Outcome, swept
from tests.sweep.table import report

BAR = 40


def main() -> int:
    """Sweep; ends with 1 if a drawing ended in an exception, or the artwork can't be had."""
    arguments = _arguments()
    broken = 0
    for name in SETS if arguments.set == "all" else (arguments.set,):
        artwork = SETS[name]
        try:
            paths = drawings(artwork, arguments.sample, arguments.seed)
        except NoArtworkError as problem:
            sys.stderr.write(f"error: {problem}\n")
            return 1
        work = partial(swept, artwork=artwork, settings=dict(arguments.settings))
        with ProcessPoolExecutor(arguments.jobs) as pool:
            outcomes = list(_shown(pool.map(work, paths, chunksize=4), len(paths), name))
        sys.stdout.write(f"# {name}: {artwork.package} {artwork.version}\n\n{report(outcomes)}\n")
        broken += sum(bool(outcome.exception) for outcome in outcomes)
        if arguments.rows is not None:
            _write_rows(arguments.rows / f"{name}.json", outcomes)
    return 1 if broken else 0


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.sweep", description=__doc__)
    parser.add_argument("--set", choices=(*SETS, "all"), default="all")
    parser.add_argument("--sample", type=int, metavar="N", help="only so many of each set")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--rows", type=Path, metavar="DIR", help="write every row as JSON too")
    parser.add_argument(
        "--with",
        dest="settings",
        type=assignment,
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help="a setting for all pieces, edge=blanket say",
    )
    return parser.parse_args()


def _shown(outcomes: Iterable[Outcome], total: int, name: str) -> Iterator[Outcome]:
    """Outcomes as they come, with a progress bar on standard error."""
    begun = time.monotonic()
    for done, outcome in enumerate(outcomes, start=1):
        yield outcome
        if done % 10 == 0 or done == total:
            left = (time.monotonic() - begun) / done * (total - done)
            bar = "#" * (BAR * done // total)
            sys.stderr.write(f"\r{name} [{bar:<{BAR}}] {done}/{total}, {left / 60:.1f} min left ")
            sys.stderr.flush()
    sys.stderr.write("\n")


def _write_rows(path: Path, outcomes: Iterable[Outcome]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps([asdict(outcome) for outcome in outcomes]), encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
