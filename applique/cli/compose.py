"""`applique compose`: a block from a layout and a library of templates."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import add_output
from applique.cli.commands import add_command
from applique.cli.library_files import open_library
from applique.cli.say import say, say_findings
from applique.errors import InputError, OutputError
from applique.files import put_in_place, read_svg, read_text, svg_bytes
from applique.folders import resolved
from applique.report import counted

if TYPE_CHECKING:
    from lxml import etree

    from applique.library.layout import Layout
    from applique.library.shelf import Library


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "compose",
        description="Make a block's drawing from a layout: which template lies where, of which "
        "fabric. Pieces are clones linked to their templates. A block that is there already keeps "
        "the versions of templates that it has.",
    )
    parser.add_argument("layout", metavar="LAYOUT.toml", type=Path, help="the layout")
    add_output(parser, "BLOCK.svg", "the block's drawing")
    parser.add_argument(
        "--library",
        metavar="SET.svg",
        type=Path,
        nargs="+",
        default=[],
        help="libraries (default: those that the layout names, found beside it)",
    )
    parser.add_argument(
        "--newest", action="store_true", help="take the newest version of every template"
    )
    parser.add_argument(
        "--replace-edited", action="store_true", help="write over a block that was edited by hand"
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Compose a block and write it."""
    from applique.library.compose import compose_block, exchanged  # Geometry is slow to load.

    layout = _layout(arguments.layout)
    before = _before(arguments.output, arguments.replace_edited)
    kept = {} if before is None or arguments.newest else _versions_in(before)
    composed = compose_block(layout, _libraries(arguments, layout), kept)
    put_in_place(arguments.output, svg_bytes(composed.tree))
    told = () if before is None else exchanged(before, composed.tree.getroot())
    say_findings([*composed.findings, *told])
    fabrics = len({row.fabric for row in layout.rows})
    say(
        f"{arguments.output}: {counted(len(layout.rows), 'piece', 'pieces')} of "
        f"{counted(fabrics, 'fabric', 'fabrics')}"
    )
    return 0


def _layout(path: Path) -> Layout:
    from applique.library.layout import read_layout

    try:
        return read_layout(read_text(path))
    except InputError as problem:
        text = str(problem)
        named = text if text.startswith(str(path)) else f"{path}: {text}"
        raise InputError(named, problem.findings) from None


def _libraries(arguments: argparse.Namespace, layout: Layout) -> list[Library]:
    paths = arguments.library or [arguments.layout.parent / name for name in layout.libraries]
    if not paths:
        raise InputError(f'{arguments.layout}: names no library; write library = "SET.svg"')
    return [open_library(path) for path in {resolved(path): path for path in paths}.values()]


def _before(path: Path, replace_edited: bool) -> etree._Element | None:
    """The block as it is now, None if there is none; raises OutputError if writing over it would
    lose what somebody did by hand."""
    from applique.library.compose import is_as_composed

    if not path.exists():
        return None
    if path.is_dir():
        raise OutputError(f"{path}: is a folder; give the name of a file in it")
    try:
        root = read_svg(path).getroot()
    except InputError:
        if replace_edited:
            return None
        raise OutputError(f"{path}: is there and is no block; give another name") from None
    if not replace_edited and not is_as_composed(root):
        raise OutputError(
            f"{path}: was edited since it was composed, or never was; give another name, or "
            "--replace-edited to lose what was done to it"
        )
    return root


def _versions_in(root: etree._Element) -> dict[str, int]:
    from applique.library.uses import uses_in

    return {use.template: use.version for use in uses_in(root)}
