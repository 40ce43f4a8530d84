"""The stages whose growth is measured, each by the command that a user gives.

`python -m tests.benchmarks.growth_stages STAGE SIZE SMALLEST FOLDER` makes what the stage needs at
both sizes; with `measure` after it, it warms up on the smallest and prints the processor seconds of
the size: the least of some runs.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from lxml import etree

from applique.svg.read import read_block
from tests.benchmarks import growth_inputs as inputs
from tests.benchmarks.figures import processor

Work = Callable[[], object]

_RUNS = ((1, float("inf")), (2, 10.0), (10, 1.0))
"""So many runs while all of them took less than so many seconds: chance counts in short ones."""


@dataclass(frozen=True)
class Stage:
    """What is done to an input of a size; `sample` are the sizes of a quick look."""

    name: str
    unit: str
    sizes: tuple[int, ...]
    sample: tuple[int, ...]
    prepared: Callable[[int, Path], Work]


def _command(*words: str, of: Callable[[int, Path], Path]) -> Callable[[int, Path], Work]:
    """A command on an input; `IN` and `OUT` stand for its path and a place for what comes of it."""

    def prepared(size: int, folder: Path) -> Work:
        names = {"IN": str(of(size, folder)), "OUT": str(folder / f"out-{words[0]}-{size}")}
        told = [names.get(word, word.replace("OUT", names["OUT"])) for word in words]
        return lambda: inputs.command(told)

    return prepared


def _reading(pieces: int, folder: Path) -> Work:
    data = inputs.drawing(pieces, folder).read_bytes()
    return lambda: read_block(etree.fromstring(data))


PIECES, FEW = (30, 100, 300, 1000), (10, 30, 100)
HOOPED = (10, 30, 100)
PLACED = (100, 300, 1000, 3000)

STAGES = (
    Stage("read", "pieces", (100, 300, 1000, 3000), (30, 100, 300), _reading),
    Stage(
        "import",
        "shapes",
        PLACED,
        (30, 100, 300),
        _command("import", "IN", "-o", "OUT.svg", "--width", "500", of=inputs.drawing),
    ),
    Stage(
        "refresh, one piece changed",
        "pieces",
        PIECES,
        FEW,
        _command("refresh", "IN", "-o", "OUT.svg", of=inputs.moved),
    ),
    Stage("check", "pieces", PIECES, FEW, _command("check", "IN", of=inputs.layered)),
    Stage("proof", "pieces", PIECES, FEW, _command("proof", "IN", of=inputs.layered)),
    Stage(
        "stitch",
        "pieces of 1,000 stitches",
        PIECES,
        FEW,
        _command("stitch", "IN", "-o", "OUT.dst", of=inputs.layered),
    ),
    Stage(
        "inspect",
        "pieces of 1,000 stitches",
        PIECES,
        FEW,
        _command("inspect", "IN", of=inputs.sewn),
    ),
    Stage(
        "stitch-out",
        "pieces of 1,000 stitches",
        PIECES,
        FEW,
        _command("stitch-out", "IN", "-o", "OUT.html", of=inputs.layered),
    ),
    Stage(
        "run-sheet",
        "pieces",
        (10, 30, 100, 300),
        FEW,
        _command("run-sheet", "IN", "-o", "OUT.html", of=inputs.layered),
    ),
    Stage(
        "hoop",
        "pieces",
        HOOPED,
        HOOPED,
        _command("hoop", "IN", "-o", "OUT", "--field", "200x300", of=inputs.layered),
    ),
    Stage(
        "cut, no time for better nesting",
        "pieces",
        PIECES,
        FEW,
        _command("cut", "IN", "-o", "OUT", "--seconds", "0.001", of=inputs.few_fabrics),
    ),
    Stage(
        "compose",
        "placements",
        PLACED,
        (30, 100, 300),
        _command("compose", "IN", "-o", "OUT.svg", "--replace-edited", of=inputs.layout),
    ),
    Stage(
        "library check",
        "templates",
        PLACED,
        (30, 100, 300),
        _command("library", "check", "IN", of=inputs.library),
    ),
    Stage(
        "trace",
        "dpi",
        (100, 150, 300, 600),
        (100, 150, 330),
        _command("trace", "IN", "-o", "OUT.svg", of=inputs.page),
    ),
)


def main() -> None:
    name, size, smallest, folder, *then = sys.argv[1:]
    stage = next(stage for stage in STAGES if stage.name == name)
    first = stage.prepared(int(smallest), Path(folder))
    work = stage.prepared(int(size), Path(folder))
    if "measure" in then:
        first()
        seconds: list[float] = []
        while any(len(seconds) < runs and sum(seconds) < spent for runs, spent in _RUNS):
            seconds.append(processor(work)[1])
        print(min(seconds))


if __name__ == "__main__":
    main()
