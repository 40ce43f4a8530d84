"""Mutants of the geometry and export rooms: `python -m tests.mutation`. See docs/benchmarks.md.

A mutant is the code with one small change. Its room's tests should fail; where none does, the diff
is shown: a test is missing, or the change makes no difference.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path

from tests.mutation.mutants import Mutant, sample
from tests.mutation.trial import Room, copied, load_libraries

ROOT = Path(__file__).resolve().parents[2]
ROOMS = ("geometry", "export")

_Outcomes = list[tuple[Mutant, bool]]


def main() -> int:
    """Try the sample; prints what became of it, by file."""
    arguments = _arguments()
    rooms = (arguments.room,) if arguments.room else ROOMS
    with tempfile.TemporaryDirectory(prefix="mutation-") as folder:
        copy = Path(folder).resolve()
        copied(ROOT, copy)
        load_libraries()
        mutants = sample(copy, _sources(copy, rooms), arguments.sample, arguments.seed)
        outcomes = _tried(copy, mutants)
    sys.stdout.write(_table(outcomes))
    return 0


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("--sample", type=int, default=200, metavar="N")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--room", choices=ROOMS, help="this room alone")
    return parser.parse_args()


def _sources(root: Path, rooms: Iterable[str]) -> list[Path]:
    found = [path for room in rooms for path in sorted((root / "applique" / room).glob("*.py"))]
    return [path.relative_to(root) for path in found]


def _tried(copy: Path, mutants: list[Mutant]) -> _Outcomes:
    """What became of each, with a count on standard error; survivors are shown at once."""
    outcomes: _Outcomes = []
    rooms = {name: Room(copy, name) for name in sorted({_room(mutant.path) for mutant in mutants})}
    for mutant in mutants:
        killed = rooms[_room(mutant.path)].kills(mutant)
        outcomes.append((mutant, killed))
        if not killed:
            sys.stdout.write(f"{mutant.path}\n{mutant.diff}\n\n")
            sys.stdout.flush()
        dead = sum(died for _, died in outcomes)
        sys.stderr.write(f"\r{len(outcomes)}/{len(mutants)}, {dead} killed ")
        sys.stderr.flush()
    sys.stderr.write("\n")
    return outcomes


def _table(outcomes: _Outcomes) -> str:
    """Mutants, killed, survived and the share killed: of every file, of every room, of all."""
    paths = list(dict.fromkeys(mutant.path for mutant, _ in outcomes))
    rooms = list(dict.fromkeys(map(_room, paths)))
    groups = {
        str(path): [died for mutant, died in outcomes if mutant.path == path] for path in paths
    }
    for room in rooms:
        groups[f"{room}/"] = [died for mutant, died in outcomes if _room(mutant.path) == room]
    groups["all"] = [died for _, died in outcomes]
    head = ["| file | mutants | killed | survived | share |", "|---|---|---|---|---|"]
    return "\n".join([*head, *(_row(name, died) for name, died in groups.items())]) + "\n"


def _row(name: str, died: list[bool]) -> str:
    count, killed = len(died), sum(died)
    return f"| {name} | {count} | {killed} | {count - killed} | {100 * killed / count:.1f} % |"


def _room(path: Path) -> str:
    return path.parent.name


if __name__ == "__main__":
    sys.exit(main())
