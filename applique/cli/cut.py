"""`applique cut`: every fabric's pieces on as few sheets as can be found."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from applique.cli.arguments import add_output, stem_of
from applique.cli.commands import add_command
from applique.cli.cut_arguments import add_pieces, add_results, add_stock
from applique.cli.say import say_error, say_findings
from applique.cutting.usual import GAP_MM
from applique.errors import InputError, UsageError
from applique.files import apart_from, put_all_in_place, read_svg
from applique.svg import vocabulary as v

if TYPE_CHECKING:
    from applique.cutting.lots import Lot
    from applique.cutting.nested import Turn
    from applique.cutting.request import CutRequest, Scrap


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "cut",
        description="Collect the pieces of layered blocks by fabric, lay them on as few sheets as "
        "can be found, check the layout, and write a file for each sheet, printed maps, and how "
        "much fabric it takes.",
    )
    parser.add_argument(
        "inputs", metavar="LAYERED.svg", type=Path, nargs="+", help="the blocks' drawings"
    )
    add_output(parser, "DIR", "the folder for the files")
    add_stock(parser.add_argument_group("what there is to cut from"))
    add_pieces(parser.add_argument_group("what is cut"))
    add_results(parser.add_argument_group("results"))
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Nest the pieces and write the sheets."""
    # The solver, the format library and the image library are slow to load.
    from applique.cli.cut_say import far, say_cut
    from applique.cli.watch import watched
    from applique.cutfolder import check_folder, kept_nestings, leftovers_of
    from applique.cutsheets.cutting import cut_lots
    from applique.cutsheets.files import files_of
    from applique.cutsheets.reading import read_lots
    from applique.paper.bars import check_paper

    try:
        check_paper(arguments.paper)
    except ValueError as problem:
        raise UsageError(f"--paper: {problem}") from None
    folder = arguments.output
    check_folder(folder)
    request = _request(arguments)
    documents = [(stem_of(path), read_svg(path).getroot()) for path in arguments.inputs]
    lots = read_lots(documents, request)
    _check_fabrics(lots.lots, request)
    kept = {} if arguments.anew else kept_nestings(folder)
    with watched(arguments.seconds, far) as told:
        cut = cut_lots(lots, request, arguments.seconds, kept, told)
    files = files_of(cut, lots, arguments.tool, arguments.paper)
    read = (*arguments.inputs, *(path for _, path in arguments.scraps))
    results = {apart_from(folder / name, *read): data for name, data in files.items()}
    put_all_in_place(results)
    say_findings([*lots.findings, *cut.findings, *leftovers_of(folder, files)])
    say_cut(cut, results, arguments.tool)
    for failed in cut.problems:
        if isinstance(failed, InputError):
            say_findings(failed.findings)
        say_error(str(failed))
    return 1 if cut.problems else 0


def _request(arguments: argparse.Namespace) -> CutRequest:
    from applique.cutting.request import USUAL_SHEET, CutRequest

    gap = arguments.gap if arguments.gap is not None else GAP_MM[arguments.tool]
    try:
        return CutRequest(
            sheets=tuple(arguments.sheets) or (USUAL_SHEET,),
            scraps=tuple(_scraps(arguments.scraps, arguments.face)),
            tool=arguments.tool,
            margin_mm=arguments.margin,
            gap_mm=gap,
            face=arguments.face,
            copies=arguments.copies,
            only=frozenset(arguments.only),
            turns={fabric: cast("Turn", rule) for fabric, rule in arguments.turns},
            usable_width_mm=arguments.usable_width,
            web_width_mm=arguments.web_width,
            mixed=arguments.mixed,
        )
    except ValueError as problem:
        raise UsageError(str(problem)) from None


def _scraps(named: Sequence[tuple[str, Path]], face: str) -> Iterator[Scrap]:
    """The scraps in the files named; a fabric given on the command line is that of all of them.
    What is left of a sheet that lay with its other side up is turned over."""
    from applique.cutting.nested import Stock, turned_over
    from applique.cutting.request import Scrap
    from applique.svg.scraps import read_scraps

    for fabric, path in named:
        root = read_svg(path).getroot()
        try:
            found = read_scraps(root)
        except InputError as problem:
            raise InputError(f"{path}: {problem}", problem.findings) from None
        if root.get(v.FACE, face) != face:
            found = [(own, turned_over(shape)) for own, shape in found]
        for number, (own, shape) in enumerate(found, start=1):
            name = str(path) if len(found) == 1 else f"{path} {number}"
            yield Scrap(fabric or own, Stock(name, shape, 1))


def _check_fabrics(lots: Sequence[Lot], request: CutRequest) -> None:
    """Raise UsageError if a fabric named on the command line is not cut: it is misspelt."""
    there = {piece.fabric for lot in lots for piece in lot.pieces}
    named = {*request.turns, *(scrap.fabric for scrap in request.scraps)} - {""}
    unknown = sorted(named - there)
    if unknown and not request.only:
        fabrics = ", ".join(sorted(there))
        raise UsageError(f"no piece is of the fabric {', '.join(unknown)}; there are {fabrics}")
