"""Picture files become pages of grey values, with the resolution that their file can mean."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
from PIL import Image, TiffImagePlugin

from applique.errors import InputError
from applique.trace.decode import decode
from applique.trace.page import Picture

HEIGHT, WIDTH = 90, 120


def chart() -> np.ndarray:
    """White paper with a dark bar at its upper left and a grey one at its lower right."""
    values = np.full((HEIGHT, WIDTH), 250, np.uint8)
    values[8:24, 16:64] = 30
    values[56:80, 88:112] = 140
    return values


def written(image: Image.Image, kind: str, **how: Any) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, kind, **how)
    return buffer.getvalue()


def read(data: bytes) -> Picture:
    (picture,) = decode(data, "page")
    return picture


def is_chart(picture: Picture, within: int = 0) -> bool:
    return picture.grey.dtype == np.uint8 and bool(
        np.abs(picture.grey.astype(int) - chart()).max() <= within
    )


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_grey_values_are_read_as_they_are(kind):
    assert is_chart(read(written(Image.fromarray(chart()), kind)))


def test_jpeg_is_read_within_its_losses():
    picture = read(written(Image.fromarray(chart()), "JPEG", quality=95))
    assert np.abs(picture.grey.astype(int) - chart()).mean() < 2


# ITU-R BT.601: luma is 0.299 R + 0.587 G + 0.114 B.
@pytest.mark.parametrize(
    ("colour", "luma"),
    [((255, 0, 0), 76), ((0, 255, 0), 150), ((0, 0, 255), 29), ((200, 100, 50), 124)],
)
def test_colours_become_luma(colour, luma):
    picture = read(written(Image.new("RGB", (WIDTH, HEIGHT), colour), "PNG"))
    assert np.unique(picture.grey) == pytest.approx([luma], abs=1)


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_sixteen_bits_keep_their_upper_eight(kind):
    deep = Image.fromarray(chart().astype(np.uint16) * 257)
    assert is_chart(read(written(deep, kind)))


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_one_bit_is_black_and_white(kind):
    bits = Image.fromarray(chart() > 100)
    assert bits.mode == "1"
    picture = read(written(bits, kind))
    assert np.array_equal(picture.grey, np.where(chart() > 100, 255, 0))


def test_palette_is_looked_up():
    assert is_chart(read(written(Image.fromarray(chart()).convert("P"), "PNG")))


@pytest.mark.parametrize("mode", ["RGBA", "LA"])
def test_see_through_parts_are_white(mode):
    image = Image.fromarray(chart()).convert(mode)
    image.putalpha(Image.fromarray(np.where(chart() == 140, 0, 255).astype(np.uint8)))
    picture = read(written(image, "PNG"))
    assert np.array_equal(picture.grey, np.where(chart() == 140, 255, chart()))


def test_see_through_entry_of_a_palette_is_white():
    image = Image.fromarray((chart() < 100).astype(np.uint8))
    image.putpalette([250, 250, 250, 0, 0, 0])
    picture = read(written(image.convert("P"), "PNG", transparency=1))
    assert picture.grey[10, 20] == 255


# Exif 2.3, tag 274: which side of what is stored is up.
@pytest.mark.parametrize(
    ("orientation", "stored"),
    [
        (1, chart()),
        (2, chart()[:, ::-1]),
        (3, np.rot90(chart(), 2)),
        (6, np.rot90(chart(), 1)),
        (8, np.rot90(chart(), -1)),
    ],
)
def test_page_is_stood_upright(orientation, stored):
    exif = Image.Exif()
    exif[274] = orientation
    image = Image.fromarray(np.ascontiguousarray(stored))
    assert is_chart(read(written(image, "TIFF", exif=exif)))
    assert read(written(image, "JPEG", exif=exif)).grey.shape == (HEIGHT, WIDTH)


def test_pages_of_one_tiff_are_named():
    pages = [Image.fromarray(chart() // (k + 1)) for k in range(3)]
    data = written(pages[0], "TIFF", save_all=True, append_images=pages[1:], dpi=(300, 300))
    found = decode(data, "scan.tif")
    assert [page.name for page in found] == ["scan.tif", "scan.tif, page 2", "scan.tif, page 3"]
    assert [page.grey[0, 0] for page in found] == [250, 125, 83]
    assert [page.dpi for page in found] == [300, 300, 300]


# FAULT, fails for a PNG of 100 dpi: it holds 3937 pixels to a metre, which are 99.9998 dpi, and the
# least that is believed is 100.
@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF"])
@pytest.mark.parametrize("dpi", [100, 150, 300, 600, 1200])
def test_resolution_is_believed(kind, dpi):
    picture = read(written(Image.fromarray(chart()), kind, dpi=(dpi, dpi)))
    # A PNG holds whole pixels to a metre: half of one is 0.0127 dpi.
    assert picture.dpi == pytest.approx(dpi, abs=0.013)


# 72 and 96 are what programs write that don't know; a fax has two.
@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF"])
@pytest.mark.parametrize("dpi", [(72, 72), (96, 96), (1, 1), (4800, 4800), (204, 98), (300, 310)])
def test_resolution_is_not_believed(kind, dpi):
    assert read(written(Image.fromarray(chart()), kind, dpi=dpi)).dpi is None


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF"])
def test_file_without_a_resolution(kind):
    assert read(written(Image.fromarray(chart()), kind)).dpi is None


def test_resolution_of_a_tiff_in_centimetres():
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags[296], tags[282], tags[283] = 3, 118.11, 118.11  # TIFF 6.0: 3 stands for centimetres.
    picture = read(written(Image.fromarray(chart()), "TIFF", tiffinfo=tags))
    assert picture.dpi == pytest.approx(300, abs=0.01)


# PDF: a scan that fills its page, and a drawing.


def test_scan_in_a_pdf_is_taken_as_it_is():
    page = chart().repeat(4, axis=0).repeat(4, axis=1)
    picture = read(written(Image.fromarray(page), "PDF", resolution=200, quality=95))
    assert picture.dpi == pytest.approx(200, abs=0.1)
    assert picture.grey.shape == page.shape
    assert np.abs(picture.grey.astype(int) - page).mean() < 2


def test_pages_of_a_pdf_are_named():
    pages = [Image.fromarray(chart()), Image.fromarray(chart())]
    data = written(pages[0], "PDF", save_all=True, append_images=pages[1:], resolution=150)
    assert [page.name for page in decode(data, "p.pdf")] == ["p.pdf, page 1", "p.pdf, page 2"]


def pdf(content: str, width: float = 144, height: float = 216) -> bytes:
    """A PDF of one page, sizes in points, by the letter of ISO 32000-1."""
    objects = [
        "<< /Type /Catalog /Pages 2 0 R >>",
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {width} {height}] /Contents 4 0 R >>",
        f"<< /Length {len(content)} >>\nstream\n{content}\nendstream",
    ]
    text, places = "%PDF-1.4\n", []
    for number, body in enumerate(objects, start=1):
        places.append(len(text))
        text += f"{number} 0 obj\n{body}\nendobj\n"
    table = "".join(f"{place:010d} 00000 n \n" for place in places)
    end = f"trailer\n<< /Size 5 /Root 1 0 R >>\nstartxref\n{len(text)}\n%%EOF\n"
    return f"{text}xref\n0 5\n0000000000 65535 f \n{table}{end}".encode()


def test_drawing_in_a_pdf_is_drawn_at_300_dpi():
    # A black rectangle of 36 x 72 points (1/2 x 1 in), its lower left corner at (18, 36).
    picture = read(pdf("18 36 36 72 re f"))
    assert picture.dpi == 300
    assert picture.grey.shape == (900, 600)
    rows, columns = np.nonzero(picture.grey < 128)
    assert (columns.min(), columns.max() + 1) == pytest.approx((75, 225), abs=1)
    # y goes up in a PDF: from 216 - 108 to 216 - 36 points down.
    assert (rows.min(), rows.max() + 1) == pytest.approx((450, 750), abs=1)


# Limits.


def test_smallest_picture():
    assert read(written(Image.new("L", (64, 64), 255), "PNG")).grey.shape == (64, 64)
    with pytest.raises(InputError, match=r"page: is only 63 x 80 pixels; scan the page at 300 dpi"):
        read(written(Image.new("L", (63, 80), 255), "PNG"))


def test_tiny_page_of_a_pdf():
    with pytest.raises(InputError, match="is only 42 x 900 pixels"):
        read(pdf("", width=10))
