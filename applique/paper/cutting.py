"""Cut sheets on paper: maps with the numbers of all pieces, and patterns at true size to cut by."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely

from applique.cutting.sheet import Sheet
from applique.paper.cut_parts import CAUTION, Place, beside, margin, numbered, regions
from applique.paper.drawing import (
    FAINT,
    INK,
    Drawing,
    Item,
    Page,
    Path,
    Printout,
    Text,
    shape_curves,
)
from applique.paper.letters import shortened, wrapped
from applique.paper.sizes import MARGIN_MM, SizeMm
from applique.paper.tags import WHITE
from applique.paper.tiles import tiles
from applique.paper.words import size_words
from applique.pictures.colours import UNKNOWN
from applique.report import counted

LARGEST_SCALE = 0.9
"""A map is never at true size, so that nobody takes it for a pattern."""

_USED_UP = "#b0b0ac"
_TITLE_MM = 5.0
_WORDS_MM = 2.8
_LEADING_MM = 3.9
_MAP_NUMBER_MM = 4.2
_PATTERN_NUMBER_MM = 5.0
_BORDER_MM = 0.35
_EDGE_MM = 0.2
_CUT_MM = 0.35
_AROUND_MM = 6.0

_FACE_TOLD = {
    "right": "Right side up: lay it on the right side of the fabric.",
    "wrong": "Mirrored: lay it on the wrong side of the fabric.",
}
_CARD_TOLD = "Templates, mirrored: cut them from card."


def map_printout(
    sheets: Sequence[Sheet],
    colours: Mapping[str, str],
    paper_mm: SizeMm,
    letters: Mapping[str, str] | None = None,
) -> Printout:
    """The maps of sheets, a page each, as large as the paper takes them. `colours` are those of the
    fabrics by name (#rrggbb); `letters` say which block each letter in the numbers stands for."""
    told = _letters_told(letters or {})
    pages = tuple(_map_page(sheet, colours, paper_mm, told) for sheet in sheets)
    return Printout("Maps of the cut sheets", pages)


def pattern_printout(sheet: Sheet, paper_mm: SizeMm) -> Printout:
    """A sheet at true size for scissors, on as many pages as it takes: cut lines, numbers, grain,
    sides that stay flat and clips. Raises ValueError for a paper too small for the check bars."""
    drawing = pattern_drawing(sheet)
    return Printout(drawing.name, tiles(drawing, paper_mm))


def pattern_drawing(sheet: Sheet) -> Drawing:
    """The pattern of a sheet, in mm from the sheet's upper left."""
    here = Place(1.0, (0.0, 0.0))
    shapes = [cut.shape for cut in sheet.cuts]
    left, top, right, bottom = shapely.total_bounds(shapes).tolist()
    box = (left - _AROUND_MM, top - _AROUND_MM, right + _AROUND_MM, bottom + _AROUND_MM)
    numbers, missing = numbered(sheet.cuts, here, _PATTERN_NUMBER_MM, box, {})
    items: list[Item] = [
        Path(shape_curves(sheet.stock.shape), "", FAINT, _EDGE_MM),
        *regions(sheet, here),
        *(Path(cut.curves, "", INK, _CUT_MM) for cut in sheet.cuts),
        *beside(sheet.cuts, here),
        *numbers,
    ]
    told = " ".join([*_pattern_told(sheet), *_no_room(missing)])
    return Drawing(f"{sheet.title}, pattern", tuple(items), box, told, tuple(shapes))


def _pattern_told(sheet: Sheet) -> list[str]:
    """How to use a pattern, what matters most first: small papers cut it short."""
    told = [_CARD_TOLD if sheet.is_card else _FACE_TOLD[sheet.face]]
    if any(cut.piece.flat for cut in sheet.cuts):
        told.append("Double line: leave flat, don't turn.")
    if any(cut.piece.clips for cut in sheet.cuts):
        told.append("Short lines in from the edge: clip.")
    if any(cut.piece.has_grain for cut in sheet.cuts):
        told.append("Arrows: grain; with one head, the top of the print.")
    return [*told, CAUTION]


def _no_room(missing: Sequence[str]) -> list[str]:
    """That the page shows some pieces without their numbers."""
    return [f"No room here for the numbers of {', '.join(missing)}."] if missing else []


def _letters_told(letters: Mapping[str, str]) -> str:
    return ", ".join(f"{letter} {name}" for letter, name in letters.items())


def _map_page(sheet: Sheet, colours: Mapping[str, str], paper_mm: SizeMm, letters: str) -> Page:
    """A sheet on paper that stands or lies, whichever shows it larger."""
    width, height = sheet.stock.size_mm
    page = paper_mm if (width <= height) == (paper_mm[0] <= paper_mm[1]) else paper_mm[::-1]
    room = page[0] - 2 * MARGIN_MM
    told = [line for text in _map_told(sheet, letters) for line in wrapped(text, _WORDS_MM, room)]
    top = MARGIN_MM + _TITLE_MM + _LEADING_MM * (len(told) + 2)
    down = page[1] - MARGIN_MM - top
    scale = min(room / width, down / height, LARGEST_SCALE)
    place = Place(scale, ((page[0] - scale * width) / 2, top))
    scaled = f"Drawn at {100 * scale:.0f} %, NOT at true size: don't cut by it."
    title = shortened(sheet.title, _TITLE_MM, room, bold=True)
    items: list[Item] = [Text((MARGIN_MM, MARGIN_MM + _TITLE_MM), title, _TITLE_MM, bold=True)]
    for k, words in enumerate([scaled, *told]):
        y = MARGIN_MM + _TITLE_MM + _LEADING_MM * (k + 1.2)
        items.append(Text((MARGIN_MM, y), words, _WORDS_MM, bold=k == 0))
    area = (MARGIN_MM, top - 2.0, page[0] - MARGIN_MM, page[1] - MARGIN_MM)
    known = {c.piece.fabric: colours.get(c.piece.fabric, UNKNOWN) for c in sheet.cuts}
    items += _drawn(sheet, place, known)
    numbers, missing = numbered(sheet.cuts, place, _MAP_NUMBER_MM, area, known)
    foot = (MARGIN_MM, page[1] - MARGIN_MM + _LEADING_MM)
    items += [*numbers, *(Text(foot, text, _WORDS_MM) for text in _no_room(missing))]
    return Page(*page, tuple(items), sheet.title)


def _drawn(sheet: Sheet, place: Place, colours: Mapping[str, str]) -> list[Item]:
    """The sheet, dark where pieces were cut from it before, and its pieces."""
    edge = shape_curves(place.shape(sheet.stock.shape))
    used_up = [shapely.Polygon(ring) for ring in sheet.stock.shape.interiors]
    holes = shape_curves(place.shape(shapely.union_all(used_up))) if used_up else ()
    pieces = [
        Path(place.curves(cut.curves), colours[cut.piece.fabric], INK, _EDGE_MM)
        for cut in sheet.cuts
    ]
    return [
        Path(edge, WHITE, INK, _BORDER_MM),
        Path(holes, _USED_UP, INK, _BORDER_MM),
        *margin(sheet, place),
        *pieces,
        *beside(sheet.cuts, place),
        *regions(sheet, place),
    ]


def _map_told(sheet: Sheet, letters: str) -> list[str]:
    """What is to be known of a sheet, a sentence a line."""
    count = counted(len(sheet.cuts), "piece", "pieces")
    used = f"{count}, {100 * sheet.used_share:.0f} % of the sheet used"
    told = [f"{size_words(sheet.stock.size_mm)}, {sheet.face_words}. {used}."]
    if len(sheet.unlabelled) == len(sheet.cuts):
        told.append("No piece bears a number: keep this map with them.")
    elif sheet.unlabelled:
        told.append(f"No room for a number on {', '.join(sorted(sheet.unlabelled))}.")
    told += [f"Blocks: {letters}."] if letters else []
    return [*told, CAUTION]
