"""Pages as a PDF; the one place that knows reportlab. The same pages give the same bytes.

Coordinates stay millimetres: each page begins with one matrix. Beziers stay Beziers. Text is set in
the standard Helvetica, in its own letters and the stand-ins of `letters.py`.
"""

from __future__ import annotations

import io

from reportlab import rl_config
from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas

from applique.model import Curve
from applique.paper.drawing import Group, Item, Page, Path, Printout, Text
from applique.paper.letters import has_stand_in_for_all, printable
from applique.report import Finding, first_of, warning
from applique.units import MM_PER_INCH

POINTS_PER_MM = 72 / MM_PER_INCH

_MARKS = "()[],;.:"

# Page contents stay bytes and are not spelled out in letters: a quarter smaller, and quicker.
rl_config.useA85 = 0

_MOST_WORDS = 5
"""So many words without their letters are told."""


def pdf_bytes(printout: Printout) -> bytes:
    """The pages as a PDF, which asks to be printed without scaling."""
    stream = io.BytesIO()
    canvas = Canvas(stream, pageCompression=1, invariant=1)
    canvas.setTitle(printout.title)
    canvas.setAuthor("")
    canvas.setSubject("")
    canvas.setCreator("underlap")
    canvas.setViewerPreference("PrintScaling", "None")
    for number, page in enumerate(printout.pages):
        _draw_page(canvas, page, f"page-{number + 1}")
    canvas.save()
    return stream.getvalue()


def lost_words(printout: Printout) -> tuple[str, ...]:
    """The words on the pages of which a PDF shows question marks for letters it has not."""
    lost: dict[str, None] = {}
    for page in printout.pages:
        lost.update(dict.fromkeys(_lost(page.items)))
    return tuple(lost)


def lost_letters(printout: Printout, what: str) -> list[Finding]:
    """A warning where a PDF shows question marks; `what` is printed, as in "the card"."""
    words = lost_words(printout)
    if not words:
        return []
    text = (
        f"a PDF's own font lacks letters of {first_of(words, _MOST_WORDS)}, printed as question "
        f"marks; write {what} as .html, which shows all letters"
    )
    return [warning("letters", "", text)]


def _lost(items: tuple[Item, ...]) -> list[str]:
    found = []
    for item in items:
        if isinstance(item, Group):
            found.extend(_lost(item.items))
        elif isinstance(item, Text):
            words = (word.strip(_MARKS) for word in item.text.split())
            found.extend(word for word in words if not has_stand_in_for_all(word))
    return found


def _draw_page(canvas: Canvas, page: Page, key: str) -> None:
    canvas.setPageSize((page.width_mm * POINTS_PER_MM, page.height_mm * POINTS_PER_MM))
    if page.name:
        canvas.bookmarkPage(key)
        canvas.addOutlineEntry(printable(page.name), key)
    # From here on y runs down, and a unit is a millimetre.
    top = page.height_mm * POINTS_PER_MM
    canvas.transform(POINTS_PER_MM, 0, 0, -POINTS_PER_MM, 0, top)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    for item in page.items:
        _draw(canvas, item)
    canvas.showPage()


def _draw(canvas: Canvas, item: Item) -> None:
    if isinstance(item, Path):
        _draw_path(canvas, item)
    elif isinstance(item, Text):
        _draw_text(canvas, item)
    else:
        _draw_group(canvas, item)


def _draw_path(canvas: Canvas, item: Path) -> None:
    if not (item.curves and (item.fill or item.stroke)):
        return
    path = canvas.beginPath()
    for curve in item.curves:
        _add(path, curve)
    if item.fill:
        canvas.setFillColor(HexColor(item.fill))
    if item.stroke:
        canvas.setStrokeColor(HexColor(item.stroke))
        canvas.setLineWidth(item.stroke_mm)
        canvas.setDash(*([list(item.dash_mm)] if item.dash_mm else []))
    canvas.drawPath(path, int(bool(item.stroke)), int(bool(item.fill)), FILL_EVEN_ODD)


def _add(path: object, curve: Curve) -> None:
    """Add a curve to reportlab's path."""
    segments = curve.segments.tolist()
    path.moveTo(*segments[0][0])  # type: ignore[attr-defined]
    for segment, straight in zip(segments, curve.straight.tolist(), strict=True):
        if straight:
            path.lineTo(*segment[3])  # type: ignore[attr-defined]
        else:
            path.curveTo(*segment[1], *segment[2], *segment[3])  # type: ignore[attr-defined]
    if curve.closed:
        path.close()  # type: ignore[attr-defined]


def _draw_text(canvas: Canvas, item: Text) -> None:
    text = printable(item.text)
    canvas.saveState()
    canvas.translate(*item.place_mm)
    canvas.rotate(item.angle_degrees)
    canvas.scale(1, -1)  # Letters stand upright where y runs down.
    canvas.setFillColor(HexColor(item.colour))
    font = "Helvetica-Bold" if item.bold else "Helvetica"
    canvas.setFont(font, item.size_mm)
    width = canvas.stringWidth(text, font, item.size_mm)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[item.anchor]
    canvas.drawString(left, 0, text)
    canvas.restoreState()


def _draw_group(canvas: Canvas, group: Group) -> None:
    left, top, right, bottom = group.clip_mm
    canvas.saveState()
    window = canvas.beginPath()
    window.rect(left, top, right - left, bottom - top)
    canvas.clipPath(window, stroke=0, fill=0)
    canvas.translate(*group.shift_mm)
    for item in group.items:
        _draw(canvas, item)
    canvas.restoreState()
