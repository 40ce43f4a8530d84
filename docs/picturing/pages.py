"""The pictures of the pages that tell of one task."""

from __future__ import annotations

import io

from PIL import Image

from applique.files import read_svg
from applique.proofing import pictures_of, prove_document
from picturing.story import SAMPLES, run
from picturing.studio import Studio, pdf_page, picture_of, scaled

WIDE, NARROW = 880, 560


@picture_of("edges")
def edges(studio: Studio) -> Image.Image:
    """The four edges, in thread."""
    proved = prove_document(read_svg(studio.story.edges).getroot())
    _, block = pictures_of(proved, (), 2 * WIDE, {})
    return scaled(Image.open(io.BytesIO(block)), WIDE)


@picture_of("layers")
def underlaps(studio: Studio) -> Image.Image:
    """The cut lines over the drawing: where fabric runs on beneath a neighbour."""
    tree = read_svg(studio.story.layered)
    for layer in tree.getroot().iter("{*}g"):
        if layer.get("id") == "ap-stitching":
            layer.set("style", "display:none")
        elif layer.get("id") == "ap-cutting":
            layer.set("style", "display:inline")
    path = studio.story.folder / "underlaps.svg"
    tree.write(path)
    return studio.drawn_by_editor(path, NARROW, "--export-area=100:90:490:470")


@picture_of("scan")
def traced(studio: Studio) -> Image.Image:
    """A scanned page with the outlines that were made of it."""
    path = studio.story.folder / "traced.svg"
    run("trace", SAMPLES / "traced" / "harbour-1.jpg", "-o", path)
    return studio.drawn_by_editor(path, NARROW)


@picture_of("library")
def contact_sheet(studio: Studio) -> Image.Image:
    """The first page for the binder."""
    path = studio.story.folder / "binder.pdf"
    run("library", "sheet", SAMPLES / "library" / "harbour-templates.svg", "-o", path)
    return pdf_page(path, 1, NARROW)


@picture_of("whale")
def card(studio: Studio) -> Image.Image:
    """The first page of a card."""
    path = studio.story.folder / "card.pdf"
    run("card", studio.story.layered_sample("whale"), "-o", path)
    return pdf_page(path, 1, NARROW)


@picture_of("lighthouse")
def hoopings(studio: Studio) -> Image.Image:
    """A block of 10 in, shared out among hoopings of 160 x 260 mm."""
    folder = studio.story.folder / "hoopings"
    run("hoop", studio.story.layered_sample("lighthouse"), "--field", "160x260", "-o", folder)
    return scaled(Image.open(folder / "lighthouse-hoopings.png"), NARROW)


@picture_of("layers")
def nested(studio: Studio) -> Image.Image:
    """The hulls of twelve boats on one mat."""
    folder = studio.story.folder / "nested"
    run("cut", studio.story.layered, "-o", folder, "--copies", 12, "--seconds", 20)
    return scaled(Image.open(folder / "pictures" / "hull-red-1.png"), NARROW)


@picture_of("quilt")
def quilt(studio: Studio) -> Image.Image:
    """The index page of the harbour quilt; the build takes a minute or two."""
    from picturing.desk import browser_page

    folder = studio.story.folder / "quilt"
    run("quilt", SAMPLES / "harbour-quilt.toml", "-o", folder)
    with browser_page(folder / "index.html", 1100, 745) as page:
        return scaled(Image.open(io.BytesIO(page.screenshot())), WIDE)
