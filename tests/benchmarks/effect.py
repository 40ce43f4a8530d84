"""Our own part of an effect in the editor: a new Python, imports, layers, the changed document.

`python -m tests.benchmarks.effect [--pieces 20]` runs it in the mode the editor starts it in; the
goal is set for 20 pieces. A Python that does nothing runs beside it.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from lxml import etree

from tests.benchmarks.blocks import grid_block
from tests.benchmarks.figures import Figure, at_most, clocked, run_alone

SUITE = "effect"
PIECES = 20
ROUNDS = 5
MOST_S = 1.0
_PYTHON = [sys.executable, "-I", "-X", "utf8", "-W", "ignore"]


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """Seconds of an effect, and how many bare Pythons these are."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("--pieces", type=int, default=PIECES)
    pieces = parser.parse_args(words).pieces
    with tempfile.TemporaryDirectory() as folder:
        drawing = Path(folder) / "drawing.svg"
        drawing.write_bytes(etree.tostring(grid_block(pieces)))
        effect = [*_PYTHON, "-m", "applique.editor.run", "--effect=layers", str(drawing)]
        seconds, bare = _median_s(effect), _median_s([*_PYTHON, "-c", "pass"])
    yield at_most(SUITE, f"effect on {pieces} pieces, our part", seconds, MOST_S, "s")
    yield Figure(SUITE, "the same / a Python that does nothing", f"{seconds / bare:.0f}")


def _median_s(command: Sequence[str]) -> float:
    def run() -> None:
        subprocess.run(command, stdout=subprocess.DEVNULL, check=True)

    return statistics.median(clocked(run) for _ in range(ROUNDS))


if __name__ == "__main__":
    sys.exit(run_alone(figures))
