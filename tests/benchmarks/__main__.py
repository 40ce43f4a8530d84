"""The numbers this project holds itself to, by one command: `python -m tests.benchmarks`.

Runs every suite in turn, each in a process of its own, and prints its figures beside their goals.
Ends with 1 if a goal is missed. `python -m tests.benchmarks.SUITE` runs one with words of its own.
"""

from __future__ import annotations

import argparse
import datetime
import sys
import time
from collections.abc import Sequence

from tests.benchmarks.figures import line_of
from tests.benchmarks.report import PAGE, machine, page, section_text, told_before
from tests.benchmarks.suites import SUITES, run


def main(argv: Sequence[str] | None = None) -> int:
    """Run the suites that are asked for; returns 1 if one of their goals is missed."""
    arguments = _parser().parse_args(argv)
    if arguments.list:
        for suite in SUITES:
            print(f"{suite.name:12} {suite.title}")
        return 0
    chosen = [suite for suite in SUITES if not arguments.only or suite.name in arguments.only]
    told, missed = told_before(), 0
    print(machine())
    for number, suite in enumerate(chosen, 1):
        print(f"\n{suite.name} ({number} of {len(chosen)}): {suite.title}", flush=True)
        begun, figures = time.monotonic(), []
        for figure in run(suite, suite.sample if arguments.quick else ()):
            print(f"  {line_of(figure)}", flush=True)
            figures.append(figure)
            missed += figure.met is False
        print(f"  {time.monotonic() - begun:.0f} s", flush=True)
        told[suite.name] = section_text(figures, arguments.date, arguments.quick)
        if arguments.write:  # after each, as the whole takes long
            PAGE.write_text(page(told), encoding="utf-8", newline="\n")
    print(f"\n{missed} goals missed" if missed else "\nevery goal met")
    return min(missed, 1)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    names = [suite.name for suite in SUITES]
    parser.add_argument("--only", nargs="+", choices=names, metavar="SUITE", help="these alone")
    parser.add_argument("--quick", action="store_true", help="a sample of each")
    parser.add_argument("--write", action="store_true", help="write docs/performance.md")
    today = datetime.date.today().isoformat()
    parser.add_argument("--date", default=today, metavar="DAY", help="what the page says")
    parser.add_argument("--list", action="store_true", help="the suites, and no more")
    return parser


if __name__ == "__main__":
    sys.exit(main())
