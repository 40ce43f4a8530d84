"""The numbers this project holds itself to, by one command: `uv run python -m tests.benchmarks`.

Each figure stands beside its goal. Times are ratios within one run, so that any machine will do;
the growth exponent is the slope of time over pieces on a doubly logarithmic scale.
"""

from __future__ import annotations

import io
import math
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pyembroidery
from lxml import etree

from applique.cutting.outlines import cut_lines
from applique.export import machine
from applique.export.formats import FORMATS
from applique.layering.stack import lay
from applique.model import Plan
from applique.pipeline import make_layers
from applique.sequence.order import ordered
from applique.sequence.pauses import with_pauses
from applique.sequence.plan import plan_of
from applique.sequence.precedence import precedence
from applique.sequence.stages import work_of
from applique.sequence.travel import with_travel
from applique.stitches.piece import sew
from applique.svg.read import read_block
from tests.benchmarks.blocks import grid_block

GROWTH_PIECES = (10, 100, 1000, 5000)
PLAN_PIECES, PLAN_SCALE = 110, 2.0
EFFECT_PIECES = 20
ROUNDS = 3


def main() -> int:
    rows = [*growth(), *plan_against_writing(), *export_against_library(), *editor_effect()]
    width = max(len(name) for name, _, _, _ in rows)
    for name, value, goal, met in rows:
        print(f"{name:{width}}  {value:>10}  goal {goal:<10} {'met' if met else 'MISSED'}")
    return 0 if all(met for *_, met in rows) else 1


Row = tuple[str, str, str, bool]


def growth() -> list[Row]:
    """Layers for 10 to 5,000 pieces, each in a process of its own so that memory is its own."""
    seconds, megabytes = [], 0.0
    for count in GROWTH_PIECES:
        runs = [_in_process(count) for _ in range(ROUNDS if count <= 1000 else 2)]
        seconds.append(min(run[0] for run in runs))
        megabytes = max(run[1] for run in runs)
        print(f"  layers of {count} pieces: {seconds[-1]:.2f} s, {megabytes:.0f} MB")
    slope = np.polyfit(np.log(GROWTH_PIECES), np.log(seconds), 1)[0]
    steepest = max(
        math.log(seconds[k + 1] / seconds[k]) / math.log(GROWTH_PIECES[k + 1] / GROWTH_PIECES[k])
        for k in range(len(seconds) - 1)
    )
    return [
        ("growth exponent, fitted", f"{slope:.3f}", "<= 1.15", slope <= 1.15),
        ("growth exponent, steepest step", f"{steepest:.3f}", "<= 1.15", steepest <= 1.15),
        ("memory of 5,000 pieces", f"{megabytes:.0f} MB", "< 500 MB", megabytes < 500),
    ]


def _in_process(count: int) -> tuple[float, float]:
    code = f"from tests.benchmarks.__main__ import layers_of; layers_of({count})"
    call = subprocess.run(
        [sys.executable, "-c", code],
        cwd=Path(__file__).resolve().parents[2],
        capture_output=True,
        text=True,
        check=True,
    )
    seconds, megabytes = call.stdout.split()
    return float(seconds), float(megabytes)


def layers_of(count: int) -> None:
    """Make the layers of a block and print the seconds and the peak memory in MB."""
    make_layers(grid_block(4))
    root = grid_block(count)
    seconds = _timed(lambda: make_layers(root))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{seconds:.4f} {peak:.1f}")


def plan_of_block(root: Any) -> Plan:
    """A plan straight from a drawing: read, lay, sew, order, pause, travel."""
    block = read_block(root).block
    laid, _ = lay(block)
    comes_first = precedence(laid)
    works = [work_of(item, sew(item)[0], False) for item in laid]
    order = ordered(works, block.settings, comes_first)
    by_label = {item.piece.label: item for item in laid}
    steps = with_pauses(order.steps, by_label, comes_first.laying, False)
    steps = with_travel(steps, by_label, block.settings.travel_limit_mm)
    return plan_of(steps, "", block.centre)


def plan_against_writing() -> list[Row]:
    """Making a plan of about 200,000 stitches against the library writing the same as PES."""
    root = grid_block(PLAN_PIECES, PLAN_SCALE)
    plan = plan_of_block(root)
    make = min(_timed(lambda: plan_of_block(root)) for _ in range(ROUNDS))
    write, _ = _library(plan, "pes")
    print(f"  plan of {plan.stitch_count} stitches: {make:.2f} s; written as PES: {write:.2f} s")
    whole = min(_timed(lambda: make_layers(grid_block(PLAN_PIECES, PLAN_SCALE))) for _ in range(2))
    block = read_block(root).block
    laid, _ = lay(block)
    cut = _timed(lambda: cut_lines(laid, {}))
    print(f"  layers with cut lines and tagged SVG: {whole:.2f} s, of that cut lines {cut:.2f} s")
    ratio = make / write
    return [("plan of 200,000 stitches / PES write", f"{ratio:.2f}", "<= 1.00", ratio <= 1)]


def export_against_library() -> list[Row]:
    """Our export with read-back against the library's own write plus read."""
    plan = plan_of_block(grid_block(PLAN_PIECES, PLAN_SCALE))
    rows = []
    for suffix in FORMATS:
        write, read = _library(plan, suffix)
        ours = min(_timed(lambda s=suffix: machine.machine_file(plan, s)) for _ in range(ROUNDS))
        ratio = ours / (write + read)
        rows.append((f"export with read-back, {suffix}", f"{ratio:.2f}", "<= 2.20", ratio <= 2.2))
    return rows


def _library(plan: Plan, suffix: str) -> tuple[float, float]:
    """Seconds the library takes to encode and write, and to read, the same stitches."""
    format = FORMATS[suffix]
    units = machine._Units(
        tuple(tuple(machine.in_units(run, plan.centre) for run in b.runs) for b in plan.blocks)
    )
    colours = machine.block_colours(plan.blocks, format, machine.palette_of(format))
    writer = getattr(pyembroidery, f"write_{suffix}")
    reader = getattr(pyembroidery, f"read_{suffix}")
    writes, reads = [], []
    for _ in range(ROUNDS):
        pattern = pyembroidery.EmbPattern()
        pattern.stitches = machine._commands(units, format)
        for colour in colours:
            thread = pyembroidery.EmbThread()
            thread.set_color(*colour)
            pattern.add_thread(thread)
        stream = io.BytesIO()
        writes.append(_timed(lambda p=pattern, s=stream: writer(p, s, dict(format.write_settings))))
        data = io.BytesIO(stream.getvalue())
        reads.append(_timed(lambda d=data: reader(d, dict(format.read_settings))))
    return min(writes), min(reads)


def editor_effect() -> list[Row]:
    """Our own part of an effect on a 20-piece block: a new Python, imports, layers, output."""
    command = [sys.executable, "-I", "-X", "utf8", "-W", "ignore", "-m", "applique.editor.run"]
    runs = []
    with tempfile.TemporaryDirectory() as folder:
        drawing = Path(folder) / "drawing.svg"
        drawing.write_bytes(etree.tostring(grid_block(EFFECT_PIECES)))
        call = [*command, "--effect=layers", str(drawing)]
        for _ in range(ROUNDS + 2):
            with (Path(folder) / "out.svg").open("wb") as out:
                runs.append(_timed(lambda o=out: subprocess.run(call, stdout=o, check=True)))
    seconds = statistics.median(runs)
    return [("effect in the editor, our part", f"{seconds:.2f} s", "<= 1.0 s", seconds <= 1.0)]


def _timed(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


if __name__ == "__main__":
    sys.exit(main())
