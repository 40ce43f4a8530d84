"""A whole quilt by the command line: how long it takes to build, again, and after one change.

    python -m tests.benchmarks.quilt [--blocks 3 10 30] [--jobs 2]

Every figure is that of the command itself, the start of Python included. Memory is that of all its
processes together, what they share counted once, looked at ten times a second (Linux tells it).
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.figures import Figure, at_most, run_alone
from tests.benchmarks.quilt_cases import write_quilt
from tests.benchmarks.slopes import fitted_slope

SUITE = "quilt"
GOAL_BLOCKS, MOST_WHOLE_S = 30, 180.0
MOST_MB = 800
MOST_REBUILD_S = 5.0
MOST_UNCHANGED_S = 1.0
MOST_EXPONENT = 1.1
_EVERY_S = 0.1


@dataclass(frozen=True)
class Took:
    """A command's seconds, and its memory in MB (0 where it isn't told)."""

    seconds: float
    megabytes: float


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """Quilts of several sizes, then how the time of a build grows."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("--blocks", type=int, nargs="+", default=[3, 10, 30])
    parser.add_argument("--jobs", type=int, default=2)
    arguments = parser.parse_args(words)
    whole: dict[int, float] = {}
    for count in sorted(arguments.blocks):
        with tempfile.TemporaryDirectory() as name:
            took = _measured(Path(name), count, arguments.jobs)
        whole[count] = took["whole"].seconds
        yield from _of_size(count, took)
    if len(whole) > 1:
        name = f"growth from {min(whole)} to {max(whole)} blocks: exponent"
        yield at_most(SUITE, name, fitted_slope(list(whole), list(whole.values())), MOST_EXPONENT)


def _measured(folder: Path, count: int, jobs: int) -> dict[str, Took]:
    """A quilt built, built again, and built once more after one piece was moved."""
    (folder / "quilt").mkdir()
    project = write_quilt(folder / "quilt", count)
    out = folder / "out"
    took = {"whole": _build(project, out, jobs), "unchanged": _build(project, out, jobs)}
    again = []
    for piece in (5, 9, 14):
        _move(project.parent / f"block-{min(count, 2)}.svg", piece)
        again.append(_build(project, out, jobs))
    took["one piece changed"] = sorted(again, key=lambda it: it.seconds)[1]
    return took


def _build(project: Path, out: Path, jobs: int) -> Took:
    command = [sys.executable, "-c", "from applique.cli.main import main; raise SystemExit(main())"]
    words = ["quilt", str(project), "-o", str(out), "--jobs", str(jobs)]
    begun = time.perf_counter()
    running = subprocess.Popen(command + words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    most = 0.0
    while running.poll() is None:
        most = max(most, _memory_mb(running.pid))
        time.sleep(_EVERY_S)
    seconds = time.perf_counter() - begun
    told = running.communicate()[0].decode()
    if running.returncode != 0:
        raise SystemExit(f"the build failed:\n{told}")
    return Took(seconds, most)


def _memory_mb(pid: int) -> float:
    """The memory of a process and of all that it began, in MB, what they share counted once; 0
    where the system doesn't tell."""
    try:
        told = Path(f"/proc/{pid}/smaps_rollup").read_text()
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    except OSError:
        return 0.0
    share = re.search(r"^Pss:\s+(\d+) kB", told, re.MULTILINE)
    own = 0.0 if share is None else int(share[1]) * 1024 / 1e6
    return own + sum(_memory_mb(int(child)) for child in children)


def _move(drawing: Path, number: int) -> None:
    """Move one piece of a drawing a little."""
    text = drawing.read_text(encoding="utf-8")
    found = list(re.finditer(r"translate\((-?[\d.]+)", text))[number]
    moved = f"translate({float(found[1]) + 0.7:g}"
    drawing.write_text(text[: found.start()] + moved + text[found.end() :], encoding="utf-8")


def _of_size(count: int, took: dict[str, Took]) -> Iterator[Figure]:
    whole, same, changed = (took[it] for it in ("whole", "unchanged", "one piece changed"))
    name = f"{count} blocks of 25 pieces"
    if count == GOAL_BLOCKS:
        yield at_most(SUITE, f"{name}, whole build", whole.seconds, MOST_WHOLE_S, "s")
    else:
        yield Figure(SUITE, f"{name}, whole build", f"{whole.seconds:.1f} s")
    told, small = f"{whole.megabytes:.0f} MB", whole.megabytes <= MOST_MB
    if whole.megabytes:
        yield Figure(SUITE, f"{name}, memory", told, f"at most {MOST_MB} MB", small)
    else:
        yield Figure(SUITE, f"{name}, memory", "not told by this system")
    yield at_most(SUITE, f"{name}, nothing changed", same.seconds, MOST_UNCHANGED_S, "s")
    yield at_most(SUITE, f"{name}, one piece moved", changed.seconds, MOST_REBUILD_S, "s")


if __name__ == "__main__":
    sys.exit(run_alone(figures))
