"""`applique demo`: everything, made from the samples."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.commands import add_command
from applique.cli.layers import say_layers
from applique.cli.library_files import open_library
from applique.cli.quilt import build
from applique.cli.say import say, say_findings
from applique.cli.stitch import say_offset
from applique.cli.trace import say_looks
from applique.export.formats import FORMATS
from applique.files import put_all_in_place, read_svg, read_text, svg_bytes
from applique.paper.sizes import sheet_mm
from applique.report import counted
from applique.resources import hoop_fields_text, samples_folder

if TYPE_CHECKING:
    from lxml import etree

SAMPLE, QUILT = "lighthouse", "harbour-quilt"
SCANS = ("harbour-1.jpg", "harbour-2.jpg")
PHOTO, PHOTO_PAPER = "harbour-photo.jpg", "a4"
LAYOUT, CARD_PAPER = "evening-harbour", "a4"
FIELD = "160x260"
CUT_S = 6.0

_OPEN = "Open the layers in Inkscape to see every stitch."


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "demo",
        description="Make outlines from traced pages, a block composed from a library with its "
        "card, and layers, machine files, hoopings and cut sheets from a block of the harbour "
        "quilt.",
    )
    parser.add_argument(
        "-o",
        "--output",
        metavar="DIR",
        type=Path,
        default=Path("applique-demo"),
        help="the folder for the results (default: applique-demo)",
    )
    parser.add_argument(
        "--all", action="store_true", help="build the whole harbour quilt too, all nine blocks"
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Make everything and print what was made."""
    # The format library and all that makes layers are slow to load.
    from applique.export.machine import machine_file
    from applique.pipeline import make_layers, read_plan

    source = samples_folder() / f"{SAMPLE}.svg"
    tree = read_svg(source)
    layers = make_layers(tree.getroot())
    say_findings(layers.findings)
    say_layers(layers)
    folder = arguments.output
    results = {folder / f"{SAMPLE}-layers.svg": svg_bytes(tree)}
    plan, _ = read_plan(tree.getroot())
    for suffix in FORMATS:
        results[folder / f"{SAMPLE}.{suffix}"] = machine_file(plan, suffix).data
    results.update(_cut(tree.getroot(), folder / "cut"))
    results.update(_hooped(tree.getroot(), folder / "hoopings"))
    results.update(_traced(folder / "traced"))
    results.update(_composed(folder / "composed"))
    put_all_in_place(results)
    for path in results:
        say(f"  {path}")
    say_offset(plan)
    if arguments.all:
        say(_OPEN)
        # The build's own last words are those on safety.
        return 0 if build(samples_folder() / f"{QUILT}.toml", folder / "quilt") else 1
    say("applique demo --all also builds the whole quilt.")
    say(
        f"{_OPEN} Before you sew: test on scraps, keep fingers away from the needle and blades, "
        "and follow your machine's own instructions."
    )
    return 0


def _cut(root: etree._Element, folder: Path) -> Mapping[Path, bytes]:
    """The block's pieces nested by fabric."""
    from applique.cutsheets.cutting import cut_lots
    from applique.cutsheets.files import files_of
    from applique.cutsheets.reading import read_lots
    from applique.cutting.request import CutRequest

    request = CutRequest()
    lots = read_lots([(SAMPLE, root)], request)
    cut = cut_lots(lots, request, CUT_S, {}, lambda progress: True)
    count = counted(sum(len(done.sheets) for done in cut.done), "sheet", "sheets")
    say(f"{SAMPLE}: {counted(len(cut.done), 'fabric', 'fabrics')} nested on {count}")
    files = files_of(cut, lots, request.tool, sheet_mm(CARD_PAPER))
    return {folder / name: data for name, data in files.items()}


def _hooped(root: etree._Element, folder: Path) -> Mapping[Path, bytes]:
    """The block's hoopings in a field that is smaller than it."""
    from applique.hooping import plan_hoopings, read_layered
    from applique.hoops.fields import field_of, read_fields
    from applique.hoops.request import HoopRequest
    from applique.hoops.told import found_and_needed
    from applique.hoopsheets import files_of

    layered = read_layered(root)
    request = HoopRequest((field_of(FIELD, read_fields(hoop_fields_text())),))
    hoopings = plan_hoopings(layered, request)
    say(f"{SAMPLE} in a field of {FIELD} mm: {found_and_needed(hoopings.plan)}")
    results = files_of(hoopings, layered, request, "dst", sheet_mm(CARD_PAPER))
    return {folder / name: data for name, data in results.files.items()}


def _traced(folder: Path) -> dict[Path, bytes]:
    """The outlines on the sample's scanned pages, and on its photo."""
    from applique.papers import paper_size
    from applique.trace.scale import Asked
    from applique.tracing import TraceRequest, trace_pictures

    pages = samples_folder() / "traced"
    scans = [(name, (pages / name).read_bytes()) for name in SCANS]
    photo = [(PHOTO, (pages / PHOTO).read_bytes())]
    made = {
        folder / "harbour-pages.svg": trace_pictures(scans, TraceRequest()),
        folder / "harbour-photo.svg": trace_pictures(
            photo, TraceRequest(Asked(paper_mm=paper_size(PHOTO_PAPER)))
        ),
    }
    for path, tracing in made.items():
        say_looks(tracing.pages)
        say(f"{path.name}: {counted(tracing.templates, 'outline', 'outlines')}")
    return {path: svg_bytes(tracing.document()) for path, tracing in made.items()}


def _composed(folder: Path) -> dict[Path, bytes]:
    """A block composed from the sample library by its layout, and its card."""
    from applique.carding import card_of
    from applique.library.compose import compose_block
    from applique.library.layout import read_layout
    from applique.paper.card import card_printout
    from applique.paper.pdf import pdf_bytes

    source = samples_folder() / "library"
    layout = read_layout(read_text(source / f"{LAYOUT}.toml"))
    libraries = [open_library(source / name) for name in layout.libraries]
    composed = compose_block(layout, libraries, {})
    card, _ = card_of(composed.tree.getroot())
    printout, _ = card_printout(card, sheet_mm(CARD_PAPER))
    say(f"{LAYOUT}: {counted(len(layout.rows), 'piece', 'pieces')} composed from a library")
    return {
        folder / f"{LAYOUT}.svg": svg_bytes(composed.tree),
        folder / f"{LAYOUT}-card.pdf": pdf_bytes(printout),
    }
