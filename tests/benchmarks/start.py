"""How long the command takes to tell its help, and to refuse words.

`python -m tests.benchmarks.start [--rounds 20]` runs every command line in turn, each in a new
process with compiled bytecode, and a Python that does nothing beside them; told are the medians.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
from collections.abc import Iterator, Sequence

from applique.cli.commands import COMMANDS
from tests.benchmarks.figures import Figure, clocked, run_alone

SUITE = "start"
ROUNDS = 20
MOST_OVERALL_S = 0.25
MOST_COMMAND_S = 0.30

_BARE = (sys.executable, "-c", "pass")
_OURS = (sys.executable, "-c", "from applique.cli.main import main; raise SystemExit(main())")

_WHOLE = {"applique --help": ["--help"], "applique": [], "applique nonsense": ["nonsense"]}
_REFUSED = ("applique", "applique nonsense")


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """Seconds of every command line, and how many bare Pythons these are."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("--rounds", type=int, default=ROUNDS)
    rounds = parser.parse_args(words).rounds
    most = dict.fromkeys(_WHOLE, MOST_OVERALL_S)
    lines = {name: (*_OURS, *said) for name, said in _WHOLE.items()}
    for name in COMMANDS:
        lines[f"applique {name} --help"] = (*_OURS, name, "--help")
        most[f"applique {name} --help"] = MOST_COMMAND_S
    seconds = _medians_s({"": _BARE, **lines}, rounds)
    bare = seconds.pop("")
    yield Figure(SUITE, "a Python that does nothing", f"{bare:.3f} s")
    for name, took in seconds.items():
        told = f"{took:.3f} s, {took / bare:.1f} times that"
        yield Figure(SUITE, name, told, f"at most {most[name]:.2f} s", took <= most[name])


def _medians_s(lines: dict[str, Sequence[str]], rounds: int) -> dict[str, float]:
    """The median seconds of each command line. They take turns, so that what else the machine does
    meanwhile falls on all of them; a first round, not counted, compiles."""
    took: dict[str, list[float]] = {name: [] for name in lines}
    for _ in range(rounds + 1):
        for name, line in lines.items():
            took[name].append(clocked(lambda n=name, it=line: _run(it, 2 * (n in _REFUSED))))
    return {name: statistics.median(found[1:]) for name, found in took.items()}


def _run(line: Sequence[str], code: int) -> None:
    """Run a command line; raises RuntimeError if it ends with another code than it should."""
    compiled = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(
        line, env=compiled, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False
    )
    if done.returncode != code:
        raise RuntimeError(f"{line[-1]}: ended with {done.returncode}, not {code}")


if __name__ == "__main__":
    sys.exit(run_alone(figures))
