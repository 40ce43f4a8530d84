"""Files that are hostile as XML, or are none: before anything is drawn."""

from __future__ import annotations

import gzip
import zlib

from tests.hostile.running import Make

NAMES = (
    'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:ap="https://underlap.example/svg/1" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
)
PAGE = 'width="100mm" height="100mm" viewBox="0 0 100 100"'
SQUARE = '<path id="square" fill="#5d7a45" d="M20,20 H60 V60 H20 Z"/>'


def drawing(content: str = SQUARE, before: str = "", page: str = PAGE, root: str = "") -> bytes:
    """A drawing of 100 x 100 mm with some content."""
    return f"{before}<svg {NAMES} {page} {root}>{content}</svg>".encode()


def _doctype(inside: str, use: str) -> bytes:
    return drawing(f"<title>{use}</title>{SQUARE}", f"<!DOCTYPE svg [{inside}]>")


def _entity(name: str, content: str) -> str:
    return f'<!ENTITY {name} "{content}">'


def billion_laughs() -> bytes:
    entities = ['<!ENTITY a0 "ha">']
    entities += [_entity(f"a{k}", f"&a{k - 1};" * 10) for k in range(1, 10)]
    return _doctype("".join(entities), "&a9;")


def laughs_in_an_attribute() -> bytes:
    entities = ['<!ENTITY a0 "M0,0 h9 v9z">']
    entities += [_entity(f"a{k}", f"&a{k - 1};" * 10) for k in range(1, 10)]
    return drawing('<path d="&a9;"/>', f"<!DOCTYPE svg [{''.join(entities)}]>")


def quadratic_blow_up() -> bytes:
    return _doctype(_entity("a", "x" * 100_000), "&a;" * 100_000)


def parameter_entities() -> bytes:
    inside = "<!ENTITY % a \"<!ENTITY b '&#37;a;&#37;a;'>\">%a;"
    return _doctype(inside, "&b;")


def entity_of_itself() -> bytes:
    return _doctype('<!ENTITY a "&b;"><!ENTITY b "&a;">', "&a;")


def long_names(count: int = 1_000_000) -> bytes:
    name = "n" * count
    return drawing(f"<{name}/>{SQUARE}")


def deep(tag: str, count: int) -> bytes:
    return drawing(f"<{tag}>" * count + SQUARE + f"</{tag}>" * count)


def many_attributes() -> bytes:
    words = " ".join(f'a{k}="1"' for k in range(100_000))
    return drawing(f"<g {words}>{SQUARE}</g>")


def many_namespaces() -> bytes:
    words = " ".join(f'xmlns:n{k}="u:{k}"' for k in range(20_000))
    return drawing(f"<g {words}>{SQUARE}</g>")


def comments_and_instructions() -> bytes:
    return drawing("<!-- --><?nothing?>" * 100_000 + SQUARE)


def one_text(count: int = 20_000_000) -> bytes:
    return drawing(f"<desc>{'x' * count}</desc>{SQUARE}")


def doctype_of_declarations() -> bytes:
    inside = "".join(f"<!ELEMENT e{k} ANY><!ATTLIST e{k} a CDATA 'v'>" for k in range(20_000))
    return _doctype(inside, "")


def default_attributes() -> bytes:
    """A document type that gives every path an attribute of its own."""
    inside = "<!ATTLIST path d CDATA 'M0,0 H9 V9 Z'>"
    return drawing("<path/>" * 20, f"<!DOCTYPE svg [{inside}]>")


def in_encoding(encoding: str, named: str) -> bytes:
    text = drawing().decode()
    return f'<?xml version="1.0" encoding="{named}"?>{text}'.encode(encoding)


def bomb_in_gzip() -> bytes:
    return gzip.compress(b"<svg>" + b" " * 50_000_000, 9)


NOT_XML: dict[str, Make] = {
    "nothing": lambda: b"",
    "one sign": lambda: b"<",
    "nul bytes": lambda: bytes(1_000_000),
    "nul in the middle": lambda: drawing().replace(b"M20", b"M2\x000"),
    "random bytes": lambda: zlib.compress(bytes(range(256)) * 500)[2:] * 50,
    "blanks without end": lambda: b" " * 210_000_000,
    "text": lambda: b"Dear reader,\n" * 1000,
    "web page": lambda: b"<!DOCTYPE html><html><body><p>No drawing<br></body></html>",
    "web page with a drawing in it": lambda: b"<html><body>" + drawing() + b"</body></html>",
    "pdf": lambda: b"%PDF-1.7\n1 0 obj<<>>endobj\n%%EOF",
    "jpeg": lambda: b"\xff\xd8\xff\xe0\x00\x10JFIF" + bytes(500),
    "packed": lambda: gzip.compress(drawing()),
    "packed blanks": bomb_in_gzip,
    "cut in a tag": lambda: drawing()[:-40],
    "cut before its end": lambda: drawing()[:-6],
    "cut in a comment": lambda: drawing("<!-- ")[:-6],
    "cut in an attribute": lambda: drawing()[:60],
    "two roots": lambda: drawing() * 2,
    "text behind the root": lambda: drawing() + b"and more",
    "other root": lambda: b"<note/>",
    "root of no namespace": lambda: b'<svg width="9mm" height="9mm"><path d="M0,0h9v9z"/></svg>',
    "root of another namespace": lambda: drawing().replace(b"2000/svg", b"2001/svg"),
    "undeclared prefix": lambda: drawing("<a:b/>"),
    "one attribute twice": lambda: drawing('<g id="a" id="b"/>'),
    "control signs in an attribute": lambda: drawing('<g id="a&#1;"/>'),
    "raw control signs": lambda: drawing('<g id="a\x01"/>'),
    "half a surrogate": lambda: drawing("<g id='&#xD800;'/>"),
    "not utf-8": lambda: drawing("<title>?</title>").replace(b"?", b"\xe9"),
    "wrong encoding named": lambda: in_encoding("utf-8", "utf-16"),
    "unknown encoding named": lambda: in_encoding("utf-8", "klingon"),
    "utf-7": lambda: in_encoding("utf-7", "utf-7"),
    "utf-32": lambda: in_encoding("utf-32", "utf-32"),
    "xml 2.0": lambda: b"<?xml version='2.0'?>" + drawing(),
    "declaration after a blank": lambda: b" <?xml version='1.0'?>" + drawing(),
}

XML: dict[str, Make] = {
    "billion laughs": billion_laughs,
    "laughs in an attribute": laughs_in_an_attribute,
    "quadratic blow-up": quadratic_blow_up,
    "parameter entities": parameter_entities,
    "entity of itself": entity_of_itself,
    "undefined entity": lambda: drawing("<title>&nobody;</title>" + SQUARE),
    "name of a million letters": long_names,
    "100,000 nested groups": lambda: deep("g", 100_000),
    "250 nested groups": lambda: deep("g", 250),
    "100,000 attributes": many_attributes,
    "20,000 namespaces": many_namespaces,
    "100,000 comments and instructions": comments_and_instructions,
    "text of 20 MB": one_text,
    "20,000 declarations": doctype_of_declarations,
    "attributes by the document type": default_attributes,
    "utf-16": lambda: in_encoding("utf-16", "utf-16"),
    "latin-1": lambda: in_encoding("latin-1", "iso-8859-1"),
    "byte order mark": lambda: b"\xef\xbb\xbf" + drawing(),
    "cdata": lambda: drawing(f"<title><![CDATA[</svg><script>]]></title>{SQUARE}"),
    "million empty elements": lambda: drawing("<g/>" * 1_000_000 + SQUARE),
}
