"""Drawings that ask for something outside themselves, or to be run."""

from __future__ import annotations

import base64
import zlib

from tests.hostile.drawings_xml import SQUARE, drawing
from tests.hostile.running import Make


def _external(declared: str, use: str = "&a;") -> bytes:
    return drawing(f"<title>{use}</title>{SQUARE}", f"<!DOCTYPE svg [{declared}]>")


def _with(content: str) -> bytes:
    return drawing(content + SQUARE)


def packed_png(side: int) -> bytes:
    """A PNG of black, a thousandth of what it unpacks to."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = zlib.crc32(kind + data).to_bytes(4, "big")
        return len(data).to_bytes(4, "big") + kind + data + check

    head = side.to_bytes(4, "big") * 2 + bytes([8, 2, 0, 0, 0])
    packer = zlib.compressobj(9)
    row = bytes(3 * side + 1)
    rows = b"".join(packer.compress(row) for _ in range(min(side, 2000))) + packer.flush()
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def _image(link: str) -> bytes:
    return _with(f'<image width="50" height="50" xlink:href="{link}" href="{link}"/>')


def _in_data(kind: str, data: bytes) -> str:
    return f"data:{kind};base64,{base64.b64encode(data).decode()}"


OUTSIDE: dict[str, Make] = {
    "entity of a file": lambda: _external('<!ENTITY a SYSTEM "file://@SECRET@">'),
    "entity of a path": lambda: _external('<!ENTITY a SYSTEM "@SECRET@">'),
    "entity of the network": lambda: _external('<!ENTITY a SYSTEM "@WEB@/a">'),
    "entity of a pipe": lambda: _external('<!ENTITY a SYSTEM "@PIPE@">'),
    "entity of a device": lambda: _external('<!ENTITY a SYSTEM "file:///dev/zero">'),
    "public entity": lambda: _external('<!ENTITY a PUBLIC "-//x//y" "@WEB@/a">'),
    "parameter entity of a file": lambda: _external('<!ENTITY % a SYSTEM "@SECRET@">%a;', ""),
    "parameter entity of the network": lambda: _external('<!ENTITY % a SYSTEM "@WEB@">%a;', ""),
    "parameter entity of a pipe": lambda: _external('<!ENTITY % a SYSTEM "@PIPE@">%a;', ""),
    "unparsed entity": lambda: _external(
        '<!NOTATION n SYSTEM "@PIPE@"><!ENTITY a SYSTEM "@PIPE@" NDATA n>', ""
    ),
    "document type of a file": lambda: drawing(before='<!DOCTYPE svg SYSTEM "file://@SECRET@">'),
    "document type of the network": lambda: drawing(before='<!DOCTYPE svg SYSTEM "@WEB@/a.dtd">'),
    "document type of a pipe": lambda: drawing(before='<!DOCTYPE svg SYSTEM "@PIPE@">'),
    "inclusion of a file": lambda: _with(
        '<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="@PIPE@" parse="text"/>'
    ),
    "inclusion of the network": lambda: _with(
        '<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="@WEB@"/>'
    ),
    "style sheet by instruction": lambda: drawing(
        before='<?xml-stylesheet href="@WEB@/a.css" type="text/css"?>'
    ),
    "transformation by instruction": lambda: drawing(
        before='<?xml-stylesheet href="@PIPE@" type="text/xsl"?>'
    ),
    "schema by attribute": lambda: _with(
        '<g xmlns:s="http://www.w3.org/2001/XMLSchema-instance" s:schemaLocation="u @WEB@"/>'
    ),
    "base by attribute": lambda: _with(f'<g xml:base="@WEB@/">{SQUARE}</g>'),
    "style sheet linked": lambda: _with(
        '<link xmlns="http://www.w3.org/1999/xhtml" rel="stylesheet" href="@WEB@/a.css"/>'
    ),
    "style imported": lambda: _with("<style>@import url(@WEB@/a.css); @import '@PIPE@';</style>"),
    "font of the network": lambda: _with(
        "<style>@font-face {font-family: a; src: url(@WEB@/a.woff)} text {font-family: a}</style>"
    ),
    "fill of the network": lambda: _with('<path fill="url(@WEB@/a.svg#g)" d="M0,0h9v9z"/>'),
    "fill of a file": lambda: _with('<path fill="url(file://@PIPE@#g)" d="M0,0h9v9z"/>'),
    "filter of the network": lambda: _with('<path filter="url(@WEB@/a.svg#g)" d="M0,0h9v9z"/>'),
    "filter image": lambda: _with(
        '<filter id="f"><feImage href="@WEB@/a.png"/></filter>'
        '<path filter="url(#f)" d="M0,0h9v9z"/>'
    ),
    "clip of the network": lambda: _with('<path clip-path="url(@WEB@#c)" d="M0,0h9v9z"/>'),
    "marker of the network": lambda: _with('<path marker-end="url(@WEB@#c)" d="M0,0h9v9z"/>'),
    "cursor of the network": lambda: _with('<g style="cursor: url(@WEB@/a.cur)"/>'),
    "clone of the network": lambda: _with('<use xlink:href="@WEB@/a.svg#b"/>'),
    "clone of a file": lambda: _with('<use href="file://@SECRET@#b"/>'),
    "gradient of the network": lambda: _with(
        '<linearGradient id="g" href="@WEB@/a.svg#b"/><path fill="url(#g)" d="M0,0h9v9z"/>'
    ),
    "image of the network": lambda: _image("@WEB@/a.png"),
    "image of a file": lambda: _image("file://@SECRET@"),
    "image of a pipe": lambda: _image("file://@PIPE@"),
    "image of a device": lambda: _image("file:///dev/zero"),
    "image of the drawing itself": lambda: _image("IN.svg"),
    "image in bad base64": lambda: _image("data:image/png;base64,====not!base64"),
    "image of an unknown kind": lambda: _image("data:whatever/else;charset=utf-8,%00%ff"),
    "image that unpacks to a gigabyte": lambda: _image(
        _in_data("image/png", packed_png(20_000))
    ),
    "drawing within an image": lambda: _image(_in_data("image/svg+xml", drawing())),
    "script": lambda: _with("<script>fetch('@WEB@')</script>"),
    "script of the network": lambda: _with('<script href="@WEB@/a.js"/>'),
    "script on an event": lambda: drawing(SQUARE, root="onload=\"fetch('@WEB@')\""),
    "script as a link": lambda: _with('<a href="javascript:fetch(\'@WEB@\')">' + SQUARE + "</a>"),
    "foreign page": lambda: _with(
        '<foreignObject width="9" height="9"><iframe xmlns="http://www.w3.org/1999/xhtml" '
        'src="@WEB@"/></foreignObject>'
    ),
    "animation of a link": lambda: _with(
        '<image><animate attributeName="href" values="@WEB@/a.png" dur="1s"/></image>'
    ),
}  # fmt: skip
