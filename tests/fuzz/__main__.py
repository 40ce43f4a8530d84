"""The long run: `python -m tests.fuzz --executions 1000000`. See docs/fuzzing.md."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import TextIO

from tests.fuzz.hunting import CURRENT, Tally, hunt, keep_crash, tally_in
from tests.fuzz.running import Outcome
from tests.fuzz.targets import TARGETS

SHARES = {"drawing": 0.1, "layered": 0.1, "text": 0.16, "machine": 0.64}
"""Of all executions; drawings take the longest."""

_EXECUTIONS_A_ROUND = 100_000
_MOST_WAITING_S = 3600.0
"""No share of a run takes longer, unless it hangs where no alarm reaches it."""


@dataclass(frozen=True)
class Share:
    """A part of the run for a process of its own."""

    reader: str
    executions: int
    seed: int
    guided: bool


def main() -> int:
    """Run, and tell; ends with 1 if anything crashed."""
    arguments = _arguments()
    arguments.found.mkdir(parents=True, exist_ok=True)
    tallies = {reader: Tally(reader) for reader in arguments.reader}
    begun = time.monotonic()
    with ThreadPoolExecutor(arguments.jobs) as pool:
        shares = list(_shares(arguments))
        runs = pool.map(lambda share: _run(share, arguments.found), shares)
        for done, tally in enumerate(runs, start=1):
            tallies[tally.reader].add(tally)
            _say(f"{done}/{len(shares)} parts, {time.monotonic() - begun:.0f} s", sys.stderr)
    for tally in tallies.values():
        _tell(tally)
    total = sum(tally.executions for tally in tallies.values())
    crashes = sum(len(tally.crashes) for tally in tallies.values())
    _say(f"{total} executions in {time.monotonic() - begun:.0f} s, {crashes} unique crashes")
    return 1 if crashes else 0


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("--executions", type=int, default=1_000_000)
    parser.add_argument("--reader", choices=tuple(TARGETS), action="append")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument(
        "--with-atheris", action="store_true", help="guided by coverage; atheris must be installed"
    )
    parser.add_argument(
        "--found",
        type=Path,
        default=Path(tempfile.gettempdir()) / "applique-fuzz",
        metavar="DIR",
        help="where inputs that crash, the slowest and the largest are put",
    )
    arguments = parser.parse_args()
    arguments.reader = arguments.reader or list(TARGETS)
    return arguments


def _shares(arguments: argparse.Namespace) -> Iterator[Share]:
    """The run in rounds, each with a part for every reader, so that a run that is stopped has
    looked at all of them."""
    whole = sum(SHARES[reader] for reader in arguments.reader)
    rounds = max(1, round(arguments.executions / _EXECUTIONS_A_ROUND))
    for number in range(rounds):
        for k, reader in enumerate(arguments.reader):
            executions = round(arguments.executions * SHARES[reader] / whole / rounds)
            seed = arguments.seed * 10_000 + number * 10 + k
            yield Share(reader, executions, seed, arguments.with_atheris)


def _run(share: Share, found: Path) -> Tally:
    """Run a part in a process of its own; if that dies, its last input is a crash."""
    folder = found / f"{share.reader}-{share.seed}"
    folder.mkdir(exist_ok=True)
    (folder / "tally.json").unlink(missing_ok=True)
    code = (_guided if share.guided else _plain)(share, folder)
    tally = tally_in(folder) or Tally(share.reader)
    if code != 0:
        outcome = Outcome("died", 0.0, f"the process died with {code}")
        data = (folder / CURRENT).read_bytes()
        tally.crashes[outcome.crash] = keep_crash(folder, share.reader, outcome, data)
    return tally


def _plain(share: Share, folder: Path) -> int | None:
    seed = f"{share.reader}-{share.seed}"
    work = get_context("spawn").Process(
        target=hunt, args=(share.reader, share.executions, seed, folder)
    )
    work.start()
    work.join(_MOST_WAITING_S)
    if work.is_alive():
        work.kill()
        work.join()
    return work.exitcode


def _guided(share: Share, folder: Path) -> int:
    words = [share.reader, str(share.executions), str(share.seed), str(folder)]
    command = [sys.executable, "-m", "tests.fuzz.guided", *words]
    with (folder / "log").open("wb") as log:
        try:
            return subprocess.run(
                command, stdout=log, stderr=log, timeout=_MOST_WAITING_S, check=False
            ).returncode
        except subprocess.TimeoutExpired:
            return -9


def _tell(tally: Tally) -> None:
    speed = tally.executions / tally.seconds if tally.seconds else 0.0
    _say(
        f"{tally.reader}: {tally.executions} executions, {speed:.0f} a second, the slowest "
        f"{tally.slowest_s:.2f} s, at most {tally.peak_bytes / 1e6:.0f} MB"
    )
    for kind, count in tally.kinds.most_common():
        _say(f"  {kind}: {count}")
    for crash, path in sorted(tally.crashes.items()):
        _say(f"  CRASH {crash}: {path}")


def _say(text: str, stream: TextIO = sys.stdout) -> None:
    stream.write(text + "\n")
    stream.flush()


if __name__ == "__main__":
    sys.exit(main())
