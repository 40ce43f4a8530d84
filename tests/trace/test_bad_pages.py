"""Pages that can't be traced, or hardly: one sentence that helps, or outlines that are flagged."""

from __future__ import annotations

import io
import struct
import time
import zlib
from typing import Any

import numpy as np
import pypdfium2
import pytest
import shapely
from PIL import Image

from applique.errors import AppliqueError, InputError, UsageError
from applique.geometry.curves import flatten
from applique.trace.scale import Asked
from applique.trace.template import Template
from applique.tracing import TraceRequest, Tracing, trace_pictures
from tests import shapes
from tests.trace.drawn import WHITE, Colour, Page, Scanner, Traced, number, scanned
from tests.trace.photographed import Camera, photographed, seen_from_above

DPI = 200
CARD_MM = (60.0, 50.0)
A7_MM = (74.0, 105.0)
PHOTO_PX = (640, 860)


def circle(radius_mm: float = 15.0, x: float = 30.0, y: float = 25.0) -> np.ndarray:
    return shapely.get_coordinates(shapes.circle(radius_mm, x, y))[:-1]


def card(*drawn: Traced, paper: Colour = WHITE, ruled_mm: float = 0.0) -> np.ndarray:
    """A scan in colours of a small page with a circle and its number, or with what is given."""
    drawn = drawn or (Traced(circle()), *number("7", (28, 22)))
    return scanned(Page(CARD_MM, drawn, paper, ruled_mm), Scanner(DPI, coloured=True))


def photo(shift_px: tuple[int, int] = (0, 0), **beside: Any) -> np.ndarray:
    """A photo of a sheet of A7 paper with two circles on it."""
    drawn = (Traced(circle(12, 22, 30)), Traced(circle(16, 48, 70)))
    page = scanned(Page(A7_MM, drawn), Scanner(DPI, coloured=True, noise=0))
    corners = seen_from_above(A7_MM, PHOTO_PX, 7.0, (3.0, -4.0, 1.0)) + shift_px
    return photographed(page, Camera(PHOTO_PX, corners, -0.01), **beside)


def saved(picture: np.ndarray, kind: str = "PNG", dpi: float | None = DPI, **how: Any) -> bytes:
    """A picture as the bytes of a file."""
    told = {} if dpi is None else {"resolution": dpi} if kind == "PDF" else {"dpi": (dpi, dpi)}
    buffer = io.BytesIO()
    Image.fromarray(picture).save(buffer, kind, **told, **how)
    return buffer.getvalue()


def trace(data: bytes, name: str = "page.png", **asked: Any) -> Tracing:
    return trace_pictures([(name, data)], TraceRequest(Asked(**asked)))


def refused(data: bytes, name: str = "page.png", **asked: Any) -> str:
    """The one sentence with which a page is refused: it names the page."""
    with pytest.raises(InputError) as caught:
        trace(data, name, **asked)
    sentence = str(caught.value)
    assert sentence.startswith(f"{name}: ")
    assert "\n" not in sentence
    assert len(sentence) < 300
    return sentence


def templates_of(tracing: Tracing) -> list[Template]:
    return [template for page in tracing.pages for template in page.traced.templates]


def furthest_off(template: Template, outline: np.ndarray) -> float:
    """The greatest distance of an outline from another, in mm."""
    points = shapely.points(flatten(template.curve, 0.002))
    return float(shapely.distance(points, shapely.LinearRing(outline)).max())


def is_right_or_flagged(template: Template, outline: np.ndarray) -> bool:
    return furthest_off(template, outline) < 0.1 or template.doubts != ()


def png_header(width: int, height: int) -> bytes:
    """A PNG that says it is so large, with next to nothing in it."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + check

    told = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    inside = chunk(b"IHDR", told) + chunk(b"IDAT", zlib.compress(b"\0" * 100))
    return b"\x89PNG\r\n\x1a\n" + inside + chunk(b"IEND", b"")


# What is no picture, or a damaged one.


@pytest.mark.parametrize(
    "data",
    [b"", b"\0", b"a page of my templates\n", b"<svg/>", b"GIF89a\x01\x00\x01\x00\x00\x00\x00;"],
    ids=["empty", "one byte", "text", "svg", "gif"],
)
def test_no_picture(data):
    assert "is no PNG, JPEG, TIFF or PDF picture" in refused(data)


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF"])
@pytest.mark.parametrize("share", [0.02, 0.5, 0.9])
def test_truncated_picture(kind, share):
    whole = saved(card(), kind)
    assert "scan" in refused(whole[: int(share * len(whole))])


def test_picture_with_a_flipped_byte_is_refused_or_traced():
    whole = saved(card(), "JPEG")
    chance = np.random.default_rng(5)
    for place in chance.integers(0, len(whole), 12):
        damaged = bytearray(whole)
        damaged[place] ^= 0xFF
        try:
            found = templates_of(trace(bytes(damaged)))
        except AppliqueError as problem:
            assert str(problem).startswith("page.png: ")
        else:
            assert len(found) < 9


@pytest.mark.parametrize("size", [(1, 1), (1, 500), (40, 60)])
def test_tiny_picture(size):
    sentence = refused(saved(np.full(size, 255, np.uint8)))
    assert f"is only {size[1]} x {size[0]} pixels" in sentence


@pytest.mark.parametrize("size", [(40_000, 40_000), (13_000, 13_000)])
def test_vast_picture_is_refused_before_it_is_decoded(size):
    began = time.process_time()
    sentence = refused(png_header(*size))
    assert time.process_time() - began < 0.5
    assert "150 million pixels are the most" in sentence


@pytest.mark.parametrize("share", [0.1, 0.5])
def test_damaged_pdf(share):
    whole = saved(card(), "PDF")
    assert "scan the page again" in refused(whole[: int(share * len(whole))], "page.pdf")


def test_pdf_of_nonsense():
    assert "scan the page again" in refused(b"%PDF-1.7\nnothing more\n", "page.pdf")


def test_pdf_without_pages():
    buffer = io.BytesIO()
    pypdfium2.PdfDocument.new().save(buffer)
    refused(buffer.getvalue(), "page.pdf")


def test_pdf_with_an_empty_page():
    document, buffer = pypdfium2.PdfDocument.new(), io.BytesIO()
    document.new_page(400, 500)
    document.save(buffer)
    assert "shows no closed outline" in refused(buffer.getvalue(), "page.pdf")


def test_pdf_with_a_vast_page():
    document, buffer = pypdfium2.PdfDocument.new(), io.BytesIO()
    document.new_page(14_400, 14_400)
    document.save(buffer)
    assert "150 million pixels are the most" in refused(buffer.getvalue(), "page.pdf")


# Pictures of every make are read alike.


# A PDF's scan is taken as it is: drawn anew it would be stretched by 0.09 mm in 45.
@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF", "PDF"])
def test_good_page_is_traced(kind):
    (template,) = templates_of(trace(saved(card(), kind)))
    assert furthest_off(template, circle()) < 0.06
    assert template.doubts == ()


@pytest.mark.parametrize("mode", ["1", "P", "RGBA", "LA", "I;16", "CMYK"])
def test_page_in_any_kind_of_pixels(mode):
    grey = Image.fromarray(card()).convert("L")
    if mode == "I;16":
        image = Image.fromarray(np.asarray(grey).astype(np.uint16) * 257)
    elif mode == "1":
        image = grey.point(lambda value: 255 * (value > 140)).convert("1")
    else:
        image = grey.convert("RGB").convert(mode)
    buffer = io.BytesIO()
    image.save(buffer, "TIFF" if mode == "CMYK" else "PNG", dpi=(DPI, DPI))
    (template,) = templates_of(trace(buffer.getvalue()))
    # In black and white an edge is known to half a pixel.
    assert furthest_off(template, circle()) < (0.13 if mode == "1" else 0.07)


def test_page_stored_sideways_is_stood_upright():
    exif = Image.Exif()
    exif[274] = 6  # The right side of what is stored is the top.
    stored = np.ascontiguousarray(np.rot90(card()))
    (template,) = templates_of(trace(saved(stored, "JPEG", exif=exif)))
    assert furthest_off(template, circle()) < 0.06


def test_pages_of_one_tiff_are_all_traced():
    pages = [Image.fromarray(card()), Image.fromarray(card(Traced(circle(10))))]
    buffer = io.BytesIO()
    pages[0].save(buffer, "TIFF", save_all=True, append_images=pages[1:], dpi=(DPI, DPI))
    tracing = trace(buffer.getvalue(), "scans.tif")
    assert [page.page.name for page in tracing.pages] == ["scans.tif", "scans.tif, page 2"]
    assert [page.labels for page in tracing.pages] == [("1",), ("2",)]


# Pages without a size.


@pytest.mark.parametrize("dpi", [None, 72, 96])
def test_page_without_a_resolution(dpi):
    sentence = refused(saved(card(), dpi=dpi))
    assert "--dpi" in sentence
    assert "--paper" in sentence


def test_page_with_two_resolutions():
    buffer = io.BytesIO()
    Image.fromarray(card()).save(buffer, "PNG", dpi=(204, 98))
    assert "--dpi" in refused(buffer.getvalue())


def test_scan_of_another_paper_than_given():
    assert "not the shape of a paper" in refused(saved(card(), dpi=None), paper_mm=(210, 297))


@pytest.mark.parametrize("dpi", [0.0, -300.0, 30.0, 1e6, float("nan"), float("inf")])
def test_resolution_that_can_not_be(dpi):
    assert "is no scan" in refused(saved(card()), dpi=dpi)


# Pages with nothing on them, or too much.


@pytest.mark.parametrize("value", [255, 0, 128])
def test_page_all_of_one_value(value):
    assert "shows no closed outline" in refused(saved(np.full((400, 480), value, np.uint8)))


# Noise has more loose ends than the few hundred of which pairs are weighed.
def test_page_of_noise():
    noise = np.random.default_rng(1).integers(0, 256, (400, 480), dtype=np.uint8)
    began = time.process_time()
    refused(saved(noise))
    assert time.process_time() - began < 2


def test_page_of_coarse_noise_gives_no_outline_without_a_flag():
    coarse = np.random.default_rng(1).integers(0, 256, (40, 48), dtype=np.uint8)
    picture = np.asarray(Image.fromarray(coarse).resize((960, 800), Image.Resampling.BICUBIC))
    try:
        found = templates_of(trace(saved(picture)))
    except InputError:
        found = []
    assert [template for template in found if not template.doubts] == []


def test_empty_page_among_others_is_told():
    empty = saved(np.full((400, 480), 250, np.uint8))
    tracing = trace_pictures([("1.png", empty), ("2.png", saved(card()))], TraceRequest())
    assert [page.labels for page in tracing.pages] == [(), ("1",)]
    assert [f.object for f in tracing.findings if f.code == "no-outline"] == ["1.png"]


@pytest.mark.parametrize(
    "paper", [(0.75, 0.62, 0.25), (0.35, 0.5, 0.65), (0.6, 0.35, 0.4), (0.25, 0.25, 0.25)]
)
def test_coloured_paper(paper):
    (template,) = templates_of(trace(saved(card(paper=paper))))
    assert furthest_off(template, circle()) < 0.06
    assert template.doubts == ()


def test_ruled_paper():
    (template,) = templates_of(trace(saved(card(ruled_mm=8.0))))
    assert is_right_or_flagged(template, circle())


# Two lines that cross close off three shapes, none of them a template.
def test_templates_traced_across_each_other():
    left, right = circle(12, 22, 25), circle(12, 38, 25)
    for template in templates_of(trace(saved(card(Traced(left), Traced(right))))):
        assert min(furthest_off(template, own) for own in (left, right)) < 0.1 or template.doubts


def test_templates_whose_lines_touch():
    left, right = circle(11, 18, 25), circle(11, 41.2, 25)
    found = templates_of(trace(saved(card(Traced(left), Traced(right)))))
    assert len(found) == 2
    for template, own in zip(found, (left, right), strict=True):
        assert is_right_or_flagged(template, own)


# Photos.


def test_good_photo_is_traced():
    tracing = trace(saved(photo(), "JPEG", None), paper_mm=A7_MM)
    for template, own in zip(
        templates_of(tracing), (circle(12, 22, 30), circle(16, 48, 70)), strict=True
    ):
        assert furthest_off(template, own) < 0.1


def test_photo_without_a_paper():
    assert "--paper" in refused(saved(photo(), "JPEG", None))


def test_photo_with_a_resolution_in_its_file_is_still_a_photo():
    assert "--paper" in refused(saved(photo(), "JPEG", 300))


def test_photo_of_two_sheets():
    other = seen_from_above(A7_MM, PHOTO_PX, 4.6, (0.0, 0.0, 3.0))
    corners = seen_from_above(A7_MM, PHOTO_PX, 4.6)
    page = scanned(Page(A7_MM, (Traced(circle()),)), Scanner(DPI, coloured=True))
    camera = Camera((1080, 700), np.add(corners, (0, -80)))
    picture = photographed(page, camera, beside=(np.add(other, (440, -80)),))
    sentence = refused(saved(picture, "JPEG", None), paper_mm=A7_MM)
    assert "more than one sheet" in sentence


@pytest.mark.parametrize(
    ("shift_px", "side"),
    [((0, 150), "bottom"), ((-130, 0), "left"), ((150, 0), "right"), ((0, -130), "top")],
)
def test_photo_of_a_sheet_cut_off(shift_px, side):
    sentence = refused(saved(photo(shift_px), "JPEG", None), paper_mm=A7_MM)
    assert f"cut off at the {side}" in sentence


def test_photo_of_another_paper_than_given():
    sentence = refused(saved(photo(), "JPEG", None), paper_mm=(74.0, 95.7))
    assert "proportions" in sentence


def test_photo_of_a_table_alone():
    corners = np.array([[-900, -900], [-800, -900], [-800, -800], [-900, -800]], float)
    picture = photographed(card(), Camera(PHOTO_PX, corners))
    refused(saved(picture, "JPEG", None), paper_mm=A7_MM)


# Numbers.


def test_numbers_given_twice():
    page = saved(card(Traced(circle(9, 15, 25)), Traced(circle(9, 42, 25))))
    with pytest.raises(UsageError, match="the number 7 is given twice"):
        trace_pictures([("page.png", page)], TraceRequest(numbers=("7", "7")))


def test_too_many_numbers():
    with pytest.raises(UsageError, match="2 numbers are given, but 1 template was found"):
        trace_pictures([("page.png", saved(card()))], TraceRequest(numbers=("7", "8")))


def test_number_beyond_those_given_is_not_given_twice():
    page = saved(card(Traced(circle(9, 15, 25)), Traced(circle(9, 42, 25))))
    tracing = trace_pictures([("page.png", page)], TraceRequest(numbers=("1",)))
    assert tracing.pages[0].labels == ("1", "2")
