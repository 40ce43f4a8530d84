"""How the time of every stage grows with the size of its work.

`python -m tests.benchmarks.growth [--quick] [--only STAGE ...]` measures each stage at three sizes
or more over a factor of ten, each in a process of its own, in processor seconds. Told are the slope
of time over size on a doubly logarithmic scale, fitted to all sizes, and that of the last step,
where what a command takes in any case counts least; 1 is time in proportion. Pages are told by
resolution, so their size is that squared. Layers and whole quilts have suites of their own.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.benchmarks.figures import Figure, progress, run_alone
from tests.benchmarks.growth_stages import STAGES, Stage
from tests.benchmarks.slopes import fitted_slope
from tests.trace.scans import ABSENT, GENERATOR

SUITE = "growth"
MOST_EXPONENT = 1.2
_ROOT = Path(__file__).resolve().parents[2]


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """The growth of each stage."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("--quick", action="store_true", help="smaller sizes")
    parser.add_argument("--only", nargs="+", choices=[stage.name for stage in STAGES])
    arguments = parser.parse_args(words)
    with tempfile.TemporaryDirectory() as folder:
        for stage in STAGES:
            if not arguments.only or stage.name in arguments.only:
                yield growth_of(stage, stage.sample if arguments.quick else stage.sizes, folder)


def growth_of(stage: Stage, sizes: Sequence[int], folder: str) -> Figure:
    """The exponents of one stage."""
    name = f"{stage.name}: {sizes[0]:,} to {sizes[-1]:,} {stage.unit}"
    if stage.unit == "dpi" and not GENERATOR.exists():
        return Figure(SUITE, name, f"not run: {ABSENT}")
    try:
        seconds = [_seconds(stage, size, sizes[0], folder) for size in sizes]
    except subprocess.CalledProcessError as broken:
        told = f"broke off, exit code {broken.returncode}"
        return Figure(SUITE, name, told, f"both at most {MOST_EXPONENT}", False)
    told = ", ".join(f"{it:.3g} s" for it in seconds)
    progress(f"{name}: {told}")
    work = [size**2 for size in sizes] if stage.unit == "dpi" else sizes
    fitted, last = fitted_slope(work, seconds), fitted_slope(work[-2:], seconds[-2:])
    met = max(fitted, last) <= MOST_EXPONENT
    measured = f"{fitted:.2f}, last step {last:.2f} ({seconds[-1]:.2g} s)"
    return Figure(SUITE, name, measured, f"both at most {MOST_EXPONENT}", met)


def _seconds(stage: Stage, size: int, smallest: int, folder: str) -> float:
    words = [sys.executable, "-m", "tests.benchmarks.growth_stages"]
    words += [stage.name, str(size), str(smallest), folder]
    subprocess.run(words, cwd=_ROOT, check=True)
    call = subprocess.run(
        [*words, "measure"], cwd=_ROOT, check=True, stdout=subprocess.PIPE, text=True
    )
    return float(call.stdout)


if __name__ == "__main__":
    sys.exit(run_alone(figures))
