"""The quilt laid out, drawn in the page: pictures of blocks that lead to their place on it."""

from __future__ import annotations

from collections.abc import Mapping

from lxml import etree

from applique.pages.document import element
from applique.quilt.index_content import IndexContent, PrintLink
from applique.quilt.top import QuiltTop, TopPart
from applique.units import compact

BINDING_MM = 8.0
"""How wide the binding is drawn: common practice makes it a quarter to three eighths of an inch."""

_UNCHOSEN = "#d8d8d8"
_SEAM = "#00000033"
_SEAM_MM = 0.8


def quilt_picture(
    content: IndexContent, top: QuiltTop, anchors: Mapping[str, str]
) -> etree._Element:
    """The drawing, a millimetre a unit. `anchors` are the ids of the blocks' places on the page."""
    rim = 0.0 if content.binding is None else BINDING_MM
    box = (-rim, -rim, top.width_mm + 2 * rim, top.height_mm + 2 * rim)
    svg = element(
        "svg",
        viewBox=" ".join(compact(number, 2) for number in box),
        role="group",
        aria_label=_told(content, top),
        class_="quilt",
    )
    svg.append(_prints(content.prints))
    if content.binding is not None:
        svg.append(_rect(*box, _fill(content, content.binding)))
    svg.append(_rect(0.0, 0.0, top.width_mm, top.height_mm, _UNCHOSEN))
    pictures = {block.name: block.picture for block in content.blocks}
    for part in top.parts:
        if part.kind == "block":
            svg.append(_block(part, pictures.get(part.name, ""), anchors.get(part.name, "")))
        else:
            fill = _fill(content, "" if part.kind == "empty" else part.name)
            svg.append(_rect(part.left_mm, part.top_mm, part.width_mm, part.height_mm, fill))
    return svg


def _told(content: IndexContent, top: QuiltTop) -> str:
    """What the drawing shows, for those who don't see it."""
    blocks = [part.name for part in top.of_kind("block")]
    kinds = {"sashing": "sashing", "cornerstone": "cornerstones", "border": "borders"}
    also = [words for kind, words in kinds.items() if any(it.kind == kind for it in top.parts)]
    also += [] if content.binding is None else ["binding"]
    more = f"; with {', '.join(also)}" if also else ""
    return f"The quilt laid out, row by row: {', '.join(blocks)}{more}"


def _block(part: TopPart, picture: str, anchor: str) -> etree._Element:
    """A block's picture, or its name where there is none, leading to its place on the page."""
    link = element("a", aria_label=part.name)
    if anchor:
        link.set("href", f"#{anchor}")
    box = (part.left_mm, part.top_mm, part.width_mm, part.height_mm)
    link.append(element("title", part.name))
    link.append(_rect(*box, _UNCHOSEN))
    x, y, width, height = (compact(number, 2) for number in box)
    if picture:
        image = element("image", x=x, y=y, width=width, height=height, href=picture)
        image.set("preserveAspectRatio", "xMidYMid meet")
        link.append(image)
    else:
        middle = (part.left_mm + part.width_mm / 2, part.top_mm + part.height_mm / 2)
        size = min(part.height_mm / 6, 1.6 * part.width_mm / max(len(part.name), 1))
        text = element("text", part.name, x=compact(middle[0], 2), y=compact(middle[1], 2))
        text.set("font-size", compact(size, 1))
        text.set("text-anchor", "middle")
        link.append(text)
    frame = _rect(*box, "none")
    frame.set("class", "frame")
    link.append(frame)
    return link


def _rect(left: float, top: float, width: float, height: float, fill: str) -> etree._Element:
    made = element(
        "rect",
        x=compact(left, 2),
        y=compact(top, 2),
        width=compact(width, 2),
        height=compact(height, 2),
        fill=fill,
        stroke=_SEAM,
    )
    made.set("stroke-width", compact(_SEAM_MM, 2))
    return made


def _fill(content: IndexContent, fabric: str) -> str:
    """The print of a fabric, or its colour."""
    for number, name in enumerate(content.prints):
        if name == fabric:
            return f"url(#print-{number})"
    return content.colours.get(fabric, _UNCHOSEN)


def _prints(prints: Mapping[str, PrintLink]) -> etree._Element:
    """The prints as patterns at their true size."""
    made = element("defs")
    for number, shown in enumerate(prints.values()):
        width, height = compact(shown.width_mm), compact(shown.height_mm)
        image = element("image", width=width, height=height, href=shown.href)
        image.set("preserveAspectRatio", "none")
        pattern = element("pattern", image, id=f"print-{number}", width=width, height=height)
        pattern.set("patternUnits", "userSpaceOnUse")
        made.append(pattern)
    return made
