"""The actions of `applique library` that only look: list, show, check, sheet."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.library_files import Uses, known_uses, open_library, uses_of
from applique.cli.proof import png_path
from applique.cli.say import say, say_findings, say_json
from applique.errors import InputError
from applique.files import put_in_place
from applique.paper.sizes import PRINTED_ON, sheet_mm
from applique.report import counted, errors_in

if TYPE_CHECKING:
    from applique.library.shelf import Library
    from applique.library.symbols import Entry

_HEADINGS = ("template", "version", "size mm", "from", "used by")


def add_library(parser: argparse.ArgumentParser) -> None:
    """The library that an action works on."""
    parser.add_argument("library", metavar="SET.svg", type=Path, help="the library")


def add_template(parser: argparse.ArgumentParser) -> None:
    """The library that an action works on, and the template in it."""
    add_library(parser)
    parser.add_argument("template", metavar="TEMPLATE", help="its number, or its whole name")


def add_blocks(parser: argparse.ArgumentParser) -> None:
    """Where blocks are looked for that use a library."""
    parser.add_argument(
        "--blocks",
        metavar="PATH",
        nargs="+",
        type=Path,
        default=[],
        help="blocks, or folders of blocks, beside those in the library's own folder",
    )


def add_list(actions: Any) -> None:
    """Add `library list`."""
    parser = actions.add_parser(
        "list",
        help="list the templates, and which blocks use them",
        description="List the templates of a library: name, version, size, page, and the blocks "
        "that use them.",
        allow_abbrev=False,
    )
    add_library(parser)
    add_blocks(parser)
    parser.add_argument("--json", action="store_true", help="print the list as JSON")
    parser.set_defaults(run=_run_list)


def _run_list(arguments: argparse.Namespace) -> int:
    library = open_library(arguments.library)
    uses = known_uses(arguments.library, library, arguments.blocks)
    newest = list(library.newest().values())
    sizes = _sizes(library, newest)
    if arguments.json:
        rows = [_as_dict(e, size, uses) for e, size in zip(newest, sizes, strict=True)]
        say_json(library.findings, {"title": library.title, "templates": rows})
        return 0
    rows_of_text = [_row(e, size, uses) for e, size in zip(newest, sizes, strict=True)]
    for line in _table([_HEADINGS, *rows_of_text]):
        say(line)
    used = sum(bool(uses_of(entry, uses)) for entry in newest)
    say_findings(library.findings)
    say(f"{counted(len(newest), 'template', 'templates')}, {used} in use")
    return 0


def _row(entry: Entry, size: str, uses: Uses) -> tuple[str, ...]:
    blocks = [
        block if version == entry.version else f"{block} (version {version})"
        for block, version in uses_of(entry, uses)
    ]
    return entry.name, str(entry.version), size, entry.page or "-", ", ".join(blocks) or "-"


def _as_dict(entry: Entry, size: str, uses: Uses) -> dict[str, Any]:
    used = [{"block": block, "version": version} for block, version in uses_of(entry, uses)]
    return {
        "template": entry.name,
        "number": entry.number,
        "set": entry.set_name,
        "version": entry.version,
        "size_mm": size,
        "page": entry.page,
        "used_by": used,
    }


def _sizes(library: Library, entries: Sequence[Entry]) -> list[str]:
    """Sizes as the library tells them, and measured where it does not."""
    from applique.library.master import size_of, size_text
    from applique.library.outlines import outlines_of

    untold = [entry for entry in entries if entry.size_mm is None]
    measured = dict(zip((e.id for e in untold), outlines_of(library, untold).outlines, strict=True))
    sizes = []
    for entry in entries:
        outline = measured.get(entry.id)
        size = entry.size_mm or (None if outline is None else size_of(outline))
        sizes.append("?" if size is None else size_text(size))
    return sizes


def _table(rows: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]


def add_show(actions: Any) -> None:
    """Add `library show`."""
    parser = actions.add_parser(
        "show",
        help="show one template",
        description="Show all that is known of one template.",
        allow_abbrev=False,
    )
    add_template(parser)
    parser.add_argument("--version", metavar="N", type=int, help="an older version of it")
    parser.add_argument(
        "--picture", metavar="FILE.png", type=png_path, help="write a picture of its outline"
    )
    add_blocks(parser)
    parser.set_defaults(run=_run_show)


def _run_show(arguments: argparse.Namespace) -> int:
    from applique.library.master import size_of, size_text
    from applique.library.outlines import outlines_of

    library = open_library(arguments.library)
    entry = library.named(arguments.template, arguments.version)
    read = outlines_of(library, [entry])
    outline = read.outlines[0]
    if outline is None:
        raise InputError(
            f"{entry.name}: has no closed outline; see 'applique library check'", read.findings
        )
    if arguments.picture is not None:
        from applique.pictures.template import template_picture  # Pillow is slow to load.

        size = size_text(entry.size_mm or size_of(outline))
        title = f"{entry.name}, version {entry.version}: {size} mm"
        put_in_place(arguments.picture, template_picture(title, outline.shape))
        say(f"{arguments.picture}: its picture")
    versions = ", ".join(str(e.version) for e in library.versions_of(entry.name))
    uses = uses_of(entry, known_uses(arguments.library, library, arguments.blocks))
    say(f"{entry.name}: version {entry.version} (there are: {versions})")
    say(f"  size      {size_text(entry.size_mm or size_of(outline))} mm")
    say(f"  area      {outline.shape.area / 100:.1f} cm²")
    say(f"  outline   {outline.shape.length:.0f} mm")
    say(f"  from      {entry.page or 'not known'}")
    say(f"  used by   {', '.join(f'{b} (version {n})' for b, n in uses) or 'no known block'}")
    return 0


def add_check(actions: Any) -> None:
    """Add `library check`."""
    parser = actions.add_parser(
        "check",
        help="find templates that are there twice, and what is wrong with a library",
        description="Look a library over: templates with the same outline, turned or mirrored or "
        "traced twice, and whatever in the file can't be read.",
        allow_abbrev=False,
    )
    add_library(parser)
    parser.add_argument("--json", action="store_true", help="print the findings as JSON")
    parser.set_defaults(run=_run_check)


def _run_check(arguments: argparse.Namespace) -> int:
    from applique.library.checking import check_library

    findings = check_library(open_library(arguments.library))
    if arguments.json:
        say_json(findings)
    else:
        say_findings(findings)
        same = sum(finding.code == "same-shape" for finding in findings)
        say(f"{counted(same, 'pair', 'pairs')} with the same outline")
    return 1 if errors_in(findings) else 0


def add_sheet(actions: Any) -> None:
    """Add `library sheet`."""
    parser = actions.add_parser(
        "sheet",
        help="print all templates for the binder",
        description="Write pages with all templates, their numbers and sizes, at true size or "
        "reduced.",
        allow_abbrev=False,
    )
    add_library(parser)
    parser.add_argument(
        "-o", "--output", metavar="FILE.pdf", type=_pdf_path, required=True, help="the pages"
    )
    parser.add_argument(
        "--scale", metavar="S", type=_scale, default=1.0, help="0.5 for half size (default: 1)"
    )
    parser.add_argument(
        "--paper", choices=PRINTED_ON, default="a4", help="what they are printed on"
    )
    parser.set_defaults(run=_run_sheet)


def _run_sheet(arguments: argparse.Namespace) -> int:
    from applique.library.master import at_origin, curves_of
    from applique.library.outlines import outlines_of
    from applique.paper.contact import ContactItem, contact_sheet  # reportlab is slow to load.
    from applique.paper.drawing import Printout
    from applique.paper.pdf import pdf_bytes

    library = open_library(arguments.library)
    entries = list(library.newest().values())
    read = outlines_of(library, entries)
    items = [
        ContactItem(entry.name, entry.page, curves_of(at_origin(outline)))
        for entry, outline in zip(entries, read.outlines, strict=True)
        if outline is not None
    ]
    if not items:
        raise InputError(
            f"{arguments.library}: has no templates to print; add some with 'applique library add'",
            read.findings,
        )
    paper = sheet_mm(arguments.paper)
    pages, findings = contact_sheet(items, paper, arguments.scale, library.title or "Templates")
    put_in_place(arguments.output, pdf_bytes(Printout(library.title, pages)))
    say_findings([*library.findings, *read.findings, *findings])
    templates = counted(len(items), "template", "templates")
    say(f"{arguments.output}: {templates} on {counted(len(pages), 'page', 'pages')}")
    return 0


def _pdf_path(text: str) -> Path:
    path = Path(text)
    if path.suffix.lower() != ".pdf":
        raise argparse.ArgumentTypeError(
            f"'{text}': the sheet is written as .pdf; give it that ending"
        )
    return path


def _scale(text: str) -> float:
    try:
        scale = float(text)
    except ValueError:
        scale = 0.0
    if not _SMALLEST_SCALE <= scale <= 1:
        raise argparse.ArgumentTypeError(f"'{text}' must lie between {_SMALLEST_SCALE:g} and 1")
    return scale


_SMALLEST_SCALE = 0.05
