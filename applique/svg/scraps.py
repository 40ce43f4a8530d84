"""Scraps of fabric: shapes that somebody drew, or what is left of one of our cut sheets."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence

import numpy as np
import shapely
from lxml import etree
from shapely import MultiPolygon, Polygon

from applique.errors import InputError
from applique.geometry.rings import polygons_of
from applique.report import Finding, error
from applique.svg import vocabulary as v
from applique.svg.outlines import Traced, Trouble, curves_in_mm, outline_of
from applique.svg.select import name_of
from applique.svg.transforms import apply, root_matrix, viewbox_of
from applique.svg.tree import Drawn, drawn

Scrap = tuple[str, Polygon]
"""A fabric, "" if nobody said which, and what is left of it."""

SMALLEST_MM2 = 100.0
"""Bits of a cut sheet that came loose, inside rings of fabric, are kept from 10 x 10 mm on; hardly
a piece of applique is smaller (common practice)."""

OVERLAP_MM2 = 1.0
"""Shapes that lie over one another by less were meant to lie side by side."""

_CUT_AWAY = ("cut", "templates")
_OUTLINE = "scrap"
_SHARED = "mixed"


def read_scraps(root: etree._Element) -> list[Scrap]:
    """The scraps that a document draws, each with its fabric.

    Of a cut sheet, which has ap:sheet, it is what its pieces leave of it. Of any other drawing,
    each closed shape that is shown is a scrap, of the fabric that its ap:fabric names; the inner
    rings of a path are places that were used. Polygons are in mm at true size, as they lie in the
    document, each moved so that its bounding box begins at (0, 0).

    Raises InputError where there is none, where the drawing has no true size, and, with a finding
    for each, where shapes are open, cross themselves, or lie over one another.
    """
    _check_size(root)
    shapes = [item for item in drawn(root) if item.kind == "shape"]
    if root.get(v.SHEET) is not None:
        return _left_of_sheet(root, shapes)
    return _drawn_scraps([item for item in shapes if item.look.shown])


def _check_size(root: etree._Element) -> None:
    """A size in percent, or none, is as large as whatever window the drawing is shown in."""
    for name in ("width", "height"):
        if root.get(name, "100%").strip().endswith("%"):
            raise InputError(
                f"the drawing has no true size, because its page has no {name}; set the page's "
                "size in mm in Document Properties, and check the scraps' sizes"
            )


def _drawn_scraps(items: Sequence[Drawn]) -> list[Scrap]:
    if not items:
        raise InputError("no closed shape was found; draw the outline of each scrap")
    shapes = _all_of(items, [_traced(item) for item in items], "scraps")
    over = list(_overlapping(items, shapes))
    if over:
        raise InputError("some of the scraps can't be used", over)
    return [
        (item.tags.get("fabric", ""), _at_origin(part))
        for item, shape in zip(items, shapes, strict=True)
        for part in polygons_of(shape)
    ]


def _left_of_sheet(root: etree._Element, items: Sequence[Drawn]) -> list[Scrap]:
    fabric = root.get(v.SHEET, "")
    if fabric == _SHARED:
        raise InputError(
            "several fabrics share this sheet, so it is not known what is left of which; draw "
            "the outline of each scrap, with ap:fabric"
        )
    outlines = _shapes_of([it for it in items if _stands_in(it, (_OUTLINE,))], "outlines")
    whole = shapely.union_all(outlines) if outlines else _page(root)
    cut = _shapes_of([it for it in items if _stands_in(it, _CUT_AWAY)], "pieces")
    left = [
        part
        for part in polygons_of(whole.difference(shapely.union_all(cut)))
        if part.area >= SMALLEST_MM2
    ]
    if not left:
        raise InputError(f"nothing of use is left of this sheet of {fabric}; leave it out")
    return [(fabric, _at_origin(part)) for part in sorted(left, key=lambda part: -part.area)]


def _page(root: etree._Element) -> Polygon:
    """The viewBox, in mm on the page."""
    box = viewbox_of(root)
    if box is None:
        raise InputError("the cut sheet has no viewBox, so its size is not known; write it anew")
    x, y, width, height = box
    corners = np.array([[x, y], [x + width, y], [x + width, y + height], [x, y + height]])
    return Polygon(apply(root_matrix(root), corners))


def _stands_in(item: Drawn, names: Container[str | None]) -> bool:
    """Whether a shape stands in a group that has one of these ids."""
    return any(around.get("id") in names for around in item.chain[:-1])


def _shapes_of(items: Sequence[Drawn], called: str) -> list[MultiPolygon]:
    """What shapes of a cut sheet enclose; raises InputError for those that enclose nothing."""
    traced = [_traced(item) for item in items]
    fatal = [Traced(each.outline, _fatal(each.troubles)) for each in traced]
    return _all_of(items, fatal, called)


def _fatal(troubles: Sequence[Trouble]) -> tuple[Trouble, ...]:
    return tuple(trouble for trouble in troubles if trouble.fatal)


def _traced(item: Drawn) -> Traced:
    """What a shape encloses, inner rings left out whichever way they run."""
    curves, trouble = curves_in_mm([item])
    return outline_of(curves, "evenodd") if trouble is None else Traced(None, (trouble,))


def _all_of(items: Sequence[Drawn], traced: Sequence[Traced], called: str) -> list[MultiPolygon]:
    """The shapes; raises InputError with every trouble that there is."""
    findings = [
        _told(name_of(item), trouble)
        for item, each in zip(items, traced, strict=True)
        for trouble in each.troubles
    ]
    if findings:
        raise InputError(f"some of the {called} can't be used", findings)
    return [each.outline.shape for each in traced if each.outline is not None]


def _told(name: str, trouble: Trouble) -> Finding:
    """A trouble as an error: what is cut from a scrap must be there, so nothing is guessed."""
    message = trouble.message
    if trouble.code == "open-path" and not trouble.fatal:
        message = "one of its sub-paths is open; join its ends with the node tool"
    elif trouble.code == "self-crossing":
        message = (
            "its outline crosses or touches itself; unite its parts (Path > Union), or take used "
            "places off it (Path > Difference)"
        )
    return error(trouble.code, name, message, trouble.place)


def _overlapping(items: Sequence[Drawn], shapes: Sequence[MultiPolygon]) -> Iterator[Finding]:
    first, second = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    for a, b in sorted(zip(first.tolist(), second.tolist(), strict=True)):
        if a >= b:
            continue
        common = shapes[a].intersection(shapes[b])
        if common.area > OVERLAP_MM2:
            spot = common.representative_point()
            yield error(
                "overlap",
                name_of(items[b]),
                f"lies over {name_of(items[a])}; move them apart or, if it is a place that was "
                "used, combine the two (Path > Combine)",
                (spot.x, spot.y),
            )


def _at_origin(part: Polygon) -> Polygon:
    left, top, _, _ = part.bounds
    return shapely.transform(part, lambda points: points - [left, top])
