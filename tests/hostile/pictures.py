"""Pictures that are hostile, as pages to be traced or as photographs of fabrics."""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageDraw

from tests.hostile.drawings_xml import drawing
from tests.hostile.running import Make

SIGNATURE = b"\x89PNG\r\n\x1a\n"


def page(kind: str = "PNG", **words: object) -> bytes:
    """A sheet with one outline of 30 mm on it, at 150 dots an inch."""
    image = Image.new("L", (600, 600), 255)
    ImageDraw.Draw(image).ellipse((180, 180, 380, 380), outline=0, width=6)
    stream = io.BytesIO()
    image.save(stream, kind, **{"dpi": (150, 150), **words})
    return stream.getvalue()


def chunk(kind: bytes, data: bytes) -> bytes:
    check = zlib.crc32(kind + data).to_bytes(4, "big")
    return len(data).to_bytes(4, "big") + kind + data + check


def png(
    width: int, height: int, rows: bytes, *others: bytes, mode: int = 0, bits: int = 8
) -> bytes:
    head = struct.pack(">IIBBBBB", width, height, bits, mode, 0, 0, 0)
    end = chunk(b"IDAT", rows) + chunk(b"IEND", b"")
    return SIGNATURE + chunk(b"IHDR", head) + b"".join(others) + end


def packed(data: bytes, times: int = 1) -> bytes:
    packer = zlib.compressobj(1)
    return b"".join(packer.compress(data) for _ in range(times)) + packer.flush()


def with_chunk(kind: bytes, data: bytes) -> bytes:
    good = page()
    return good[:33] + chunk(kind, data) + good[33:]


def with_dots_a_metre(number: int) -> bytes:
    return with_chunk(b"pHYs", struct.pack(">IIB", number, number, 1))


def tiff(
    directories: Sequence[Sequence[tuple[int, int, int, int]]], loop: int | None = None
) -> bytes:
    """A TIFF of directories of (tag, type, count, value); `loop` is the directory that comes after
    the last."""
    sizes = [2 + 12 * len(entries) + 4 for entries in directories]
    starts = [8 + sum(sizes[:k]) for k in range(len(sizes))]
    data = b"II*\0" + struct.pack("<I", 8)
    for k, entries in enumerate(directories):
        after = starts[k + 1] if k + 1 < len(starts) else (0 if loop is None else starts[loop])
        data += struct.pack("<H", len(entries))
        data += b"".join(struct.pack("<HHII", *entry) for entry in entries)
        data += struct.pack("<I", after)
    return data


def plain(width: int, height: int, strip: int = 8, bytes_in_it: int = 100) -> list[tuple[int, ...]]:
    return [
        (256, 4, 1, width), (257, 4, 1, height), (258, 3, 1, 8), (259, 3, 1, 1), (262, 3, 1, 1),
        (273, 4, 1, strip), (277, 3, 1, 1), (278, 4, 1, height), (279, 4, 1, bytes_in_it),
    ]  # fmt: skip


def jpeg_of(width: int, height: int) -> bytes:
    """A JPEG whose head names another size."""
    data = bytearray(page("JPEG"))
    at = data.index(b"\xff\xc0") + 5
    data[at : at + 4] = struct.pack(">HH", height, width)
    return bytes(data)


def pdf(*objects: str, streams: dict[int, bytes] | None = None) -> bytes:
    """A PDF of objects numbered from 1, the first its catalogue; some are followed by a stream."""
    data, starts = b"%PDF-1.7\n", []
    for number, content in enumerate(objects, start=1):
        starts.append(len(data))
        data += f"{number} 0 obj\n{content}\n".encode()
        stream = (streams or {}).get(number)
        if stream is not None:
            data += b"stream\n" + stream + b"\nendstream\n"
        data += b"endobj\n"
    table = "".join(f"{start:010d} 00000 n \n" for start in starts)
    data_end = f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n{table}"
    trailer = f"trailer<</Root 1 0 R/Size {len(objects) + 1}>>\nstartxref\n{len(data)}\n%%EOF"
    return data + data_end.encode() + trailer.encode()


def one_page(
    box: str = "0 0 300 300", content: bytes = b"", extra: str = "", also: str = ""
) -> bytes:
    """A PDF of one page."""
    return pdf(
        f"<</Type/Catalog/Pages 2 0 R {also}>>",
        "<</Type/Pages/Kids[3 0 R]/Count 1>>",
        f"<</Type/Page/Parent 2 0 R/MediaBox[{box}]/Contents 4 0 R {extra}>>",
        f"<</Length {len(content)}>>",
        streams={4: content},
    )


def many_pages(count: int) -> bytes:
    kids = " ".join(["3 0 R"] * count)
    return pdf(
        "<</Type/Catalog/Pages 2 0 R>>",
        f"<</Type/Pages/Kids[{kids}]/Count {count}>>",
        "<</Type/Page/Parent 2 0 R/MediaBox[0 0 300 300]>>",
    )


def picture_in_pdf(width: int, height: int, data: bytes, filters: str = "/FlateDecode") -> bytes:
    content = b"q 300 0 0 300 0 0 cm /I Do Q"
    return pdf(
        "<</Type/Catalog/Pages 2 0 R>>",
        "<</Type/Pages/Kids[3 0 R]/Count 1>>",
        "<</Type/Page/Parent 2 0 R/MediaBox[0 0 300 300]/Contents 4 0 R"
        "/Resources<</XObject<</I 5 0 R>>>>>>",
        f"<</Length {len(content)}>>",
        f"<</Type/XObject/Subtype/Image/Width {width}/Height {height}/ColorSpace/DeviceGray"
        f"/BitsPerComponent 8/Filter{filters}/Length {len(data)}>>",
        streams={4: content, 5: data},
    )


def form_of_itself(shown: bytes) -> bytes:
    """A form that is drawn within itself wherever it is `shown`: once, or without end."""
    return pdf(
        "<</Type/Catalog/Pages 2 0 R>>",
        "<</Type/Pages/Kids[3 0 R]/Count 1>>",
        "<</Type/Page/Parent 2 0 R/MediaBox[0 0 300 300]/Contents 4 0 R"
        "/Resources<</XObject<</F 5 0 R>>>>>>",
        "<</Length 5>>",
        "<</Type/XObject/Subtype/Form/BBox[0 0 9 9]/Resources<</XObject<</F 5 0 R>>>>"
        f"/Length {len(shown)}>>",
        streams={4: b"/F Do", 5: shown},
    )


def noise(side: int) -> bytes:
    """A page of nothing but dots: a contour around each."""
    dots = np.random.default_rng(1).integers(0, 2, (side, side), dtype=np.uint8) * 255
    stream = io.BytesIO()
    Image.fromarray(dots).save(stream, "PNG", dpi=(300, 300))
    return stream.getvalue()


PICTURES: dict[str, Make] = {
    "no bytes": lambda: b"",
    "png of 50,000 px a side": lambda: png(50_000, 50_000, packed(bytes(50_001), 100)),
    "png of two billion px a side": lambda: png(2**31 - 1, 2**31 - 1, b""),
    "png of nothing": lambda: png(0, 0, b""),
    "png of one pixel": lambda: png(1, 1, packed(b"\0\0")),
    "png a mile long": lambda: png(100_000, 70, packed(bytes(100_001), 70)),
    "png without its pixels": lambda: png(600, 600, b""),
    "png with 200 MB for its pixels": lambda: png(600, 600, packed(bytes(1_000_000), 200)),
    "png of an unknown mode": lambda: png(600, 600, packed(bytes(600 * 601)), mode=7),
    "png text that unpacks to 200 MB": lambda: with_chunk(
        b"zTXt", b"a\0\0" + packed(bytes(1_000_000), 200)
    ),
    "png profile that unpacks to 200 MB": lambda: with_chunk(
        b"iCCP", b"a\0\0" + packed(bytes(1_000_000), 200)
    ),
    "png text without end": lambda: with_chunk(b"tEXt", b"a\0" + b"x" * 30_000_000),
    "png of 100,000 texts": lambda: page()[:33] + chunk(b"tEXt", b"a\0b") * 100_000 + page()[33:],
    "png with a wrong sum": lambda: page()[:29] + b"abcd" + page()[33:],
    "png cut off": lambda: page()[:-300],
    "png of 100,000 frames": lambda: with_chunk(b"acTL", struct.pack(">II", 100_000, 0)),
    "png of 0 dots": lambda: with_dots_a_metre(0),
    "png of four billion dots": lambda: with_dots_a_metre(2**32 - 1),
    "png of noise": lambda: noise(1500),
    "tiff of a directory that follows itself": lambda: tiff([plain(100, 100)], loop=0),
    "tiff of 2,000 pages": lambda: tiff([plain(100, 100)] * 2_000),
    "tiff of 100,000 px a side": lambda: tiff([plain(100_000, 100_000)]),
    "tiff of four billion px": lambda: tiff([plain(2**32 - 1, 2**32 - 1)]),
    "tiff of a strip beyond its end": lambda: tiff([plain(600, 600, 2**31, 360_000)]),
    "tiff of a strip of 4 GB": lambda: tiff([plain(600, 600, 8, 2**32 - 1)]),
    "tiff without entries": lambda: tiff([[]]),
    "tiff of a million entries": lambda: b"II*\0" + struct.pack("<IH", 8, 65535) + bytes(12_000),
    "tiff of text counted in billions": lambda: tiff([[*plain(100, 100), (270, 2, 2**31, 8)]]),
    "tiff of dots divided by nothing": lambda: tiff([[*plain(100, 100), (282, 5, 1, 120)]]),
    "jpeg of 65,000 px a side": lambda: jpeg_of(65_000, 65_000),
    "jpeg of nothing": lambda: jpeg_of(0, 0),
    "jpeg cut off": lambda: page("JPEG")[:1500],
    "jpeg of marks alone": lambda: b"\xff\xd8" + b"\xff\xe1\xff\xff" + bytes(100),
    "jpeg of 10 MB of comments": lambda: b"\xff\xd8" + (b"\xff\xfe\xff\xff" + bytes(65_533)) * 150,
    "gif": lambda: page("GIF"),
    "webp": lambda: page("WEBP"),
    "bmp": lambda: page("BMP"),
    "drawing renamed": drawing,
    "postscript": lambda: b"%!PS-Adobe\n{loop} loop\n%%BoundingBox: 0 0 600 600\n",
}  # fmt: skip

PDFS: dict[str, Make] = {
    "pdf of its first line": lambda: b"%PDF-1.7\n",
    "pdf cut off": lambda: one_page()[:200],
    "pdf without pages": lambda: pdf("<</Type/Catalog>>"),
    "pdf whose pages are their own": lambda: pdf(
        "<</Type/Catalog/Pages 2 0 R>>", "<</Type/Pages/Kids[2 0 R 2 0 R]/Count 9>>"
    ),
    "pdf of a billion pages by its count": lambda: one_page().replace(
        b"Count 1", b"Count 1000000000"
    ),
    "pdf of 10,000 pages": lambda: many_pages(10_000),
    "pdf of a page of a kilometre": lambda: one_page("0 0 2834645 2834645"),
    "pdf of a page of nothing": lambda: one_page("0 0 0 0"),
    "pdf of a page of nan": lambda: one_page("0 0 nan 1e999"),
    "pdf of a page turned inside out": lambda: one_page("300 300 0 0"),
    "pdf of user units": lambda: one_page(extra="/UserUnit 1000000"),
    "pdf of an empty page": one_page,
    "pdf of a picture of 100,000 px a side": lambda: picture_in_pdf(
        100_000, 100_000, packed(bytes(1_000_000), 100)
    ),
    "pdf of a picture without pixels": lambda: picture_in_pdf(600, 600, b""),
    "pdf of a stream packed four times": lambda: picture_in_pdf(
        600, 600, packed(packed(packed(packed(bytes(1_000_000), 50)))),
        "[/FlateDecode/FlateDecode/FlateDecode/FlateDecode]",
    ),
    "pdf of a million lines": lambda: one_page(
        content=b"0 0 m 300 300 l S " * 300_000
    ),
    "pdf of a million saved states": lambda: one_page(content=b"q " * 1_000_000),
    "pdf of brackets without end": lambda: one_page(content=b"[" * 1_000_000),
    "pdf of a form that shows itself": lambda: form_of_itself(b"/F Do"),
    "pdf of a form that shows itself twice over": lambda: form_of_itself(b"/F Do /F Do"),
    "pdf with a script": lambda: one_page(
        also="/OpenAction<</S/JavaScript/JS(app.launchURL('@WEB@'))>>"
    ),
    "pdf that starts a program": lambda: one_page(also="/OpenAction<</S/Launch/F(@PIPE@)>>"),
    "pdf that calls the network": lambda: one_page(also="/OpenAction<</S/URI/URI(@WEB@)>>"),
    "pdf of a page kept elsewhere": lambda: pdf(
        "<</Type/Catalog/Pages 2 0 R>>", "<</Type/Pages/Kids[3 0 R]/Count 1>>",
        "<</Type/Page/Parent 2 0 R/MediaBox[0 0 300 300]/Contents 4 0 R>>",
        "<</Length 0/F(@PIPE@)>>", streams={4: b""},
    ),
    "pdf under a password": lambda: one_page().replace(
        b"trailer<<", b"trailer<</Encrypt<</Filter/Standard/V 5/R 6/O()/U()/P 0>>"
    ),
}  # fmt: skip
