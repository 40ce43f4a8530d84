"""How much may stand in a document, counted in its bytes before any of it is read."""

from __future__ import annotations

MOST_ELEMENTS = 250_000
"""Every command walks over all of them several times: a few seconds. A layered block has some
hundred; a library of 2,000 templates 8,000."""

MOST_ATTRIBUTES = 2_500_000
"""Each takes some 200 bytes of memory, however short it is written."""


def too_much_in(data: bytes) -> str:
    """What a document has too much of, as the end of a sentence; "" if all is well."""
    # What begins with < and ends no element begins one, or a comment at least.
    if data.count(b"<") - data.count(b"</") > MOST_ELEMENTS:
        return f"has more than {MOST_ELEMENTS} elements; simplify it, or save parts of it apart"
    if data.count(b"=") > MOST_ATTRIBUTES:
        return f"has more than {MOST_ATTRIBUTES} attributes; save it as plain SVG"
    return ""
