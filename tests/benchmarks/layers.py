"""Layers for more and more pieces: how time and memory grow.

`python -m tests.benchmarks.layers [--pieces 10 100 1000 5000]` makes every block in a process of
its own, so that memory is its own. The exponent is the slope of time over pieces on a doubly
logarithmic scale.
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from applique.pipeline import make_layers
from tests.benchmarks.blocks import grid_block
from tests.benchmarks.figures import Figure, at_most, clocked, progress, run_alone
from tests.benchmarks.slopes import fitted_slope, steepest_slope

SUITE = "layers"
PIECES = (10, 100, 1000, 5000)
MOST_EXPONENT = 1.15
MOST_MB = 500
_FEW, _ROUNDS_OF_FEW, _ROUNDS = 1000, 3, 2


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """Growth and memory of making layers."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("--pieces", type=int, nargs="+", default=list(PIECES))
    pieces = sorted(parser.parse_args(words).pieces)
    seconds, megabytes = [], 0.0
    for count in pieces:
        runs = [_in_process(count) for _ in range(_ROUNDS_OF_FEW if count <= _FEW else _ROUNDS)]
        seconds.append(min(run[0] for run in runs))
        megabytes = max(run[1] for run in runs)
        progress(f"layers of {count} pieces: {seconds[-1]:.2f} s, {megabytes:.0f} MB")
    told = f"layers for {pieces[0]:,} to {pieces[-1]:,} pieces"
    yield at_most(SUITE, f"{told}: exponent fitted", fitted_slope(pieces, seconds), MOST_EXPONENT)
    yield at_most(SUITE, "the same, steepest step", steepest_slope(pieces, seconds), MOST_EXPONENT)
    name = f"memory for {pieces[-1]:,} pieces"
    small = megabytes < MOST_MB
    yield Figure(SUITE, name, f"{megabytes:.0f} MB", f"under {MOST_MB} MB", small)


def _in_process(count: int) -> tuple[float, float]:
    code = f"from tests.benchmarks.layers import layers_of; layers_of({count})"
    call = subprocess.run(
        [sys.executable, "-c", code],
        cwd=Path(__file__).resolve().parents[2],
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    seconds, megabytes = call.stdout.split()
    return float(seconds), float(megabytes)


def layers_of(count: int) -> None:
    """Make the layers of a block and print the seconds and the peak memory in MB."""
    make_layers(grid_block(4))
    root = grid_block(count)
    seconds = clocked(lambda: make_layers(root))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{seconds:.4f} {peak:.1f}")


if __name__ == "__main__":
    sys.exit(run_alone(figures))
