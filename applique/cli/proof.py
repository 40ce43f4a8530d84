"""`applique proof`: what the stitches of a block will do, before any thread is used."""

from __future__ import annotations

import argparse
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import add_input, area
from applique.cli.commands import add_command
from applique.cli.say import say, say_findings, say_json
from applique.cli.table import aligned
from applique.errors import InputError, UsageError
from applique.files import put_in_place, read_svg
from applique.report import counted, error, errors_in

if TYPE_CHECKING:
    from applique.proof.figures import BlockProof, PieceProof, SpoolUse
    from applique.proofing import Proof

_HEADINGS = ("piece", "edge", "cover %", "over %", "most", "stitch mm", "rail short", "ties")
_LEFT_COLUMNS = 2
"""Words stand on the left of their columns, figures on the right."""


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "proof",
        description="Tell from the stitches of a layered block how well they cover, how close the "
        "needle goes in, and what thread and time they take. Ends with 1 if a machine can't sew "
        "them.",
    )
    add_input(parser, "LAYERED.svg")
    parser.add_argument("--json", action="store_true", help="print every figure as JSON")
    parser.add_argument(
        "--picture",
        metavar="FILE.png",
        type=png_path,
        help="write a picture: the block with thread at its true width, and its needle map",
    )
    parser.add_argument(
        "--area",
        metavar="X,Y,WIDTH,HEIGHT",
        type=area,
        help="what the picture shows, in mm on the page, for a closer look (default: everything)",
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Look at a document's stitches."""
    from applique.proofing import picture_of, prove_document  # Geometry is slow to load.

    if arguments.area is not None and arguments.picture is None:
        raise UsageError("--area: is for a picture; give --picture FILE.png as well")
    try:
        proof = prove_document(read_svg(arguments.input).getroot())
    except InputError as problem:
        if not arguments.json:
            raise
        # A script gets its answer in the same form, whatever stands in the way.
        say_json(problem.findings or (error("unreadable", "", str(problem)),))
        return problem.exit_code
    if arguments.picture is not None:
        put_in_place(arguments.picture, picture_of(proof, in_title(proof.figures), arguments.area))
    if arguments.json:
        say_json(proof.findings, proof.figures.as_dict())
    else:
        _say_proof(proof)
        if arguments.picture is not None:
            say(f"{arguments.picture}: the picture")
    return 1 if errors_in(proof.findings) else 0


def png_path(text: str) -> Path:
    """Read the name of a picture."""
    path = Path(text)
    if path.suffix.lower() != ".png":
        raise argparse.ArgumentTypeError(
            f"'{text}': a picture is written as .png; give it that ending"
        )
    return path


def in_title(figures: BlockProof) -> tuple[str, ...]:
    """What stands beside the block's name in its picture."""
    told = []
    if figures.least_covered is not None:
        told.append(f"COVERED {_percent(figures.least_covered, 2)} % OR MORE")
    told.append(f"{figures.most_crowded.most} NEEDLE POINTS IN A CIRCLE AT MOST")
    told.append(f"{figures.layers.most:.1f} LAYERS OF THREAD AT MOST")
    told.append(f"{figures.stitches} STITCHES")
    told.append(f"{figures.time.machine_minutes:.0f} MINUTES")
    return tuple(told)


def _say_proof(proof: Proof) -> None:
    figures = proof.figures
    for line in aligned([_HEADINGS, *(_row(piece) for piece in figures.pieces)], _LEFT_COLUMNS):
        say(line)
    say("")
    for line in _totals(figures):
        say(line)
    say_findings(proof.findings)


def _row(piece: PieceProof) -> tuple[str, ...]:
    lengths, cover = piece.edge_lengths, piece.cover
    ends = 2 * piece.threads
    return (
        piece.label,
        piece.edge or "?",
        "-" if cover is None else _percent(cover.covered, 2),
        "-" if cover is None else f"{100 * cover.overspill:.2f}",
        "-" if piece.crowding is None else str(piece.crowding.most),
        "-" if lengths is None else f"{lengths.shortest_mm:.1f} to {lengths.longest_mm:.1f}",
        "-" if cover is None else f"{cover.rail_short_mm:.2f}",
        f"{ends - len(piece.loose_ends)} of {ends}",
    )


def _percent(share: float, digits: int) -> str:
    """A share in %, rounded down: what is not whole must not look so."""
    scale = 10**digits
    return f"{math.floor(100 * share * scale + 1e-6) / scale:.{digits}f}"


def _totals(figures: BlockProof) -> list[str]:
    from applique.proof.lengths import bin_names

    rows = [("thread", "", "needle m", "bobbin m")]
    rows += [_spool_row(spool) for spool in figures.spools]
    tails = figures.tails
    rows.append(("", "tails, cut off", _metres(tails.needle_mm), _metres(tails.bobbin_mm)))
    whole = figures.thread
    rows.append(("", "together", _metres(whole.needle_mm), _metres(whole.bobbin_mm)))
    time, layers = figures.time, figures.layers
    lengths = ", ".join(
        f"{name}: {count}"
        for name, count in zip(bin_names(), figures.lengths.histogram, strict=True)
        if count
    )
    near = (
        "" if layers.place is None else f" (near {layers.place[0]:.1f}, {layers.place[1]:.1f} mm)"
    )
    return [
        *aligned(rows, _LEFT_COLUMNS),
        "have 10 to 15 % more of each",
        "",
        f"time: {time.machine_minutes:.0f} minutes of the machine, "
        f"{counted(time.stops, 'stop', 'stops')}, {counted(time.trims, 'trim', 'trims')}; laying, "
        "trimming and threading come on top",
        f"stitches: {figures.stitches}; by length in mm, ties aside: {lengths}",
        f"layers of thread: {layers.most:.1f} at the densest place{near}",
    ]


def _spool_row(spool: SpoolUse) -> tuple[str, str, str, str]:
    thread, use = spool.thread, spool.use
    return (thread.colour, thread.name, _metres(use.needle_mm), _metres(use.bobbin_mm))


def _metres(length_mm: float) -> str:
    return f"{length_mm / 1000:.1f}"
