"""`applique trace`: scanned or photographed pages of traced templates become numbered outlines."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import add_output, paper
from applique.cli.commands import add_command
from applique.cli.say import say, say_findings
from applique.files import apart_from, put_all_in_place, read_picture, svg_bytes
from applique.report import counted

if TYPE_CHECKING:
    from applique.trace.write import NumberedPage


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "trace",
        description="Make one clean outline at true size of every template traced on scanned or "
        "photographed pages. Ends with 1 if a page has no outline that can be used, or if its size "
        "can't be known.",
    )
    parser.add_argument(
        "pages", metavar="PAGE", nargs="+", type=Path, help="PNG, JPEG, TIFF or PDF files"
    )
    add_output(parser, "PIECES.svg", "the outlines, over their pages")
    parser.add_argument(
        "--dpi", metavar="N", type=float, help="resolution of the scans (default: the file's own)"
    )
    parser.add_argument(
        "--paper",
        metavar="SIZE",
        type=paper,
        help="the sheet in a photo, or a scan of a whole sheet: a4, letter, legal, WIDTHxHEIGHT mm",
    )
    parser.add_argument(
        "--ink-edge",
        choices=("near", "centre", "far"),
        default="near",
        help="which edge of the ink is the outline: the one next to the template, the line's "
        "middle, or the far one, which makes every piece larger and rounds its points "
        "(default: near)",
    )
    parser.add_argument(
        "--first", metavar="N", type=_whole, default=1, help="number of the first outline"
    )
    parser.add_argument(
        "--numbers",
        metavar="A1,A2,B7",
        type=_labels,
        default=(),
        help="numbers of the outlines outright, in reading order",
    )
    parser.add_argument(
        "--keep-marks", action="store_true", help="keep marks inside a shape as lines"
    )
    parser.add_argument(
        "--known-size",
        metavar="N=WxH",
        type=_known,
        help="the true size in mm of the object (a ruler, or N=D for a disc) whose outline gets "
        "number N: tells how far the pen stood off, and the scale where nothing else does",
    )
    parser.add_argument(
        "--report", metavar="R.json", type=Path, help="write all that was measured as JSON"
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Trace the pages and write the outlines."""
    # The image libraries are slow to load.
    from applique.trace.scale import Asked
    from applique.tracing import TraceRequest, trace_pictures

    request = TraceRequest(
        Asked(arguments.dpi, arguments.paper),
        arguments.ink_edge,
        arguments.first,
        arguments.numbers,
        arguments.keep_marks,
        arguments.known_size,
    )
    apart_from(arguments.output, *arguments.pages)
    if arguments.report is not None:
        apart_from(arguments.report, arguments.output, *arguments.pages)
    tracing = trace_pictures([(path.name, read_picture(path)) for path in arguments.pages], request)
    results = {arguments.output: svg_bytes(tracing.document())}
    if arguments.report is not None:
        text = json.dumps(tracing.as_dict(), indent=2, ensure_ascii=False) + "\n"
        results[arguments.report] = text.encode("utf-8")
    put_all_in_place(results)
    say_findings(finding for finding in tracing.findings if finding.code not in _IN_THE_LIST)
    say_looks(tracing.pages)
    outlines = counted(tracing.templates, "outline", "outlines")
    say(f"{arguments.output}: {outlines} on {counted(len(tracing.pages), 'page', 'pages')}")
    return 0


def say_looks(pages: Iterable[NumberedPage]) -> None:
    """The short list of outlines that deserve a look."""
    from applique.trace.report import look_at

    for page in pages:
        for line in look_at(page):
            say(line)


_IN_THE_LIST = frozenset(
    (
        "gap",
        "thin",
        "touched",
        "speck",
        "page-edge",
        "nested",
        "unseen",
        "other-pen",
        "crossing",
        "shared-line",
    )
)
"""Doubts about single outlines, which the short list tells."""


def _known(text: str) -> Any:
    from applique.trace.known import known_size

    try:
        return known_size(text)
    except ValueError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from None


def _whole(text: str) -> int:
    try:
        number = int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"'{text}' is no whole number") from None
    if not 0 <= number <= 99999:
        raise argparse.ArgumentTypeError("it must lie between 0 and 99999")
    return number


def _labels(text: str) -> tuple[str, ...]:
    labels = tuple(part.strip() for part in text.split(","))
    if not all(labels):
        raise argparse.ArgumentTypeError(
            "it names no number; give them with commas, as in A1,A2,B7"
        )
    return labels
