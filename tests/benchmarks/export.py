"""Plans and machine files beside the machine library's own work, in the same run.

`python -m tests.benchmarks.export [--pieces 110]` makes a plan of about 1,800 stitches a piece, and
sets making it against the library encoding and writing it as PES, and every format's export with
read-back against the library's own write plus read.
"""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Iterator, Sequence
from typing import Any

import pyembroidery

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
from tests.benchmarks.figures import Figure, at_most, clocked, progress, run_alone

SUITE = "export"
PIECES, SCALE = 110, 2.0
ROUNDS = 3
MOST_PLAN, MOST_EXPORT = 1.0, 2.2


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """The plan, then every format."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("--pieces", type=int, default=PIECES)
    pieces = parser.parse_args(words).pieces
    plan = plan_of_block(grid_block(pieces, SCALE))
    yield plan_against_writing(plan, pieces)
    yield from export_against_library(plan)


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


def plan_against_writing(plan: Plan, pieces: int) -> Figure:
    """Making a plan against the library writing the same as PES."""
    root = grid_block(pieces, SCALE)
    make = min(clocked(lambda: plan_of_block(root)) for _ in range(ROUNDS))
    write, _ = library_seconds(plan, "pes")
    progress(f"plan of {plan.stitch_count} stitches: {make:.2f} s; written as PES: {write:.2f} s")
    whole = min(clocked(lambda: make_layers(grid_block(pieces, SCALE))) for _ in range(2))
    laid, _ = lay(read_block(root).block)
    cut = clocked(lambda: cut_lines(laid, {}))
    progress(f"layers with cut lines and tagged SVG: {whole:.2f} s, of that cut lines {cut:.2f} s")
    name = f"plan of {plan.stitch_count:,} stitches / library's PES"
    return at_most(SUITE, name, make / write, MOST_PLAN)


def export_against_library(plan: Plan) -> Iterator[Figure]:
    """Our export with read-back against the library's own write plus read."""
    for suffix in FORMATS:
        write, read = library_seconds(plan, suffix)
        ours = min(clocked(lambda s=suffix: machine.machine_file(plan, s)) for _ in range(ROUNDS))
        name = f"export with read-back / library's write and read, {suffix}"
        yield at_most(SUITE, name, ours / (write + read), MOST_EXPORT)


def library_seconds(plan: Plan, suffix: str) -> tuple[float, float]:
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
        settings = dict(format.write_settings)
        writes.append(clocked(lambda p=pattern, s=stream, told=settings: writer(p, s, told)))
        data = io.BytesIO(stream.getvalue())
        reads.append(clocked(lambda d=data: reader(d, dict(format.read_settings))))
    return min(writes), min(reads)


if __name__ == "__main__":
    sys.exit(run_alone(figures))
