"""Makes the sample library of `applique library`: the templates of a harbour quilt.

`python -m tests.library.make_samples` writes the same bytes every time. The layouts beside it are
written by hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from applique.files import put_in_place, svg_bytes
from applique.library.adding import add_templates
from applique.library.pieces import NewTemplate
from applique.library.shelf import new_library
from applique.svg.outlines import outline_of
from applique.svg.paths import parse_path
from tests.library.harbour_shapes import DRAWN
from tests.trace.make_samples import HARBOUR_1, HARBOUR_2, TEMPLATES

LIBRARY = Path(__file__).resolve().parents[2] / "samples" / "library" / "harbour-templates.svg"

PREFIX = "HB"

LEFT_OUT = "right wing"
"""The one template of the traced pages that is another turned over."""


def templates() -> Iterator[NewTemplate]:
    """The templates of the traced pages under the numbers they have there, then those drawn for the
    library, in the order of their numbers."""
    numbered = dict(_traced())
    drawn = iter(DRAWN.values())
    for number in range(1, len(TEMPLATES) + len(DRAWN)):
        page, data = numbered.get(number) or ("harbour, drawn", next(drawn))
        outline = outline_of(parse_path(data), "nonzero").outline
        assert outline is not None
        yield NewTemplate(str(number), outline, page)


def _traced() -> Iterator[tuple[int, tuple[str, str]]]:
    """Number, page and path data of each template that was traced; some lie on two pages."""
    seen = {LEFT_OUT}
    for page, sheet in (("harbour-1", HARBOUR_1), ("harbour-2", HARBOUR_2)):
        for placed in sheet.placed:
            if placed.name not in seen:
                seen.add(placed.name)
                yield int(placed.number), (page, TEMPLATES[placed.name])


def library_bytes() -> bytes:
    """The sample library as a file's bytes."""
    library = new_library("Harbour templates")
    add_templates(library, list(templates()), PREFIX)
    return svg_bytes(library.root.getroottree())


def main() -> None:
    """Write the library."""
    put_in_place(LIBRARY, library_bytes())


if __name__ == "__main__":
    main()
