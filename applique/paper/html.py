"""Pages as one HTML document that needs nothing else: every page an SVG in true millimetres.

Rules for print give each page the paper's own size, so that a browser prints it at 100 %.
"""

from __future__ import annotations

from lxml import etree

from applique.paper.drawing import Group, Item, Page, Path, Printout, Text
from applique.paper.letters import one_line, text_width_mm
from applique.svg.paths import write_path
from applique.svg.vocabulary import SVG
from applique.units import compact

DIGITS = 3
"""Decimals of a millimetre in the document: 0.001 mm, as everywhere in outlines."""

_STYLE = """
body { margin: 0; background: #d9d9d9; }
main { display: flex; flex-direction: column; align-items: center; gap: 6mm; padding: 6mm;
  box-sizing: border-box; width: max-content; min-width: 100%; }
section { background: #ffffff; box-shadow: 0 1mm 3mm #00000040; }
svg { display: block; }
text { font-family: Helvetica, Arial, "Liberation Sans", sans-serif; white-space: pre; }
.bold { font-weight: bold; }
@media print {
  body { background: none; }
  main { display: block; width: auto; padding: 0; }
  section { box-shadow: none; break-after: page; break-inside: avoid; overflow: hidden; }
  section:last-child { break-after: auto; }
  svg, section { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}
"""

Size = tuple[str, str]


def html_bytes(printout: Printout) -> bytes:
    """The pages as an HTML document in UTF-8."""
    root = etree.Element("html", lang="en")
    head = etree.SubElement(root, "head")
    etree.SubElement(head, "meta", charset="utf-8")
    etree.SubElement(head, "meta", name="viewport", content="width=device-width")
    etree.SubElement(head, "title").text = one_line(printout.title)
    kinds = {size: f"paper{k + 1}" for k, size in enumerate(_sizes(printout))}
    etree.SubElement(head, "style").text = _STYLE + "".join(map(_page_rule, kinds.items()))
    main = etree.SubElement(etree.SubElement(root, "body"), "main")
    for page in printout.pages:
        main.append(_section(page, kinds[_size(page)]))
    text = etree.tostring(root, method="html", encoding="unicode", doctype="<!DOCTYPE html>")
    return text.encode("utf-8") + b"\n"


def _size(page: Page) -> Size:
    return compact(page.width_mm, DIGITS), compact(page.height_mm, DIGITS)


def _sizes(printout: Printout) -> list[Size]:
    """The sizes of the pages, each once."""
    return list(dict.fromkeys(_size(page) for page in printout.pages))


def _page_rule(kind: tuple[Size, str]) -> str:
    (width, height), name = kind
    return (
        f"@page {name} {{ size: {width}mm {height}mm; margin: 0; }}\n"
        f".{name} {{ page: {name}; width: {width}mm; height: {height}mm; }}\n"
    )


def _section(page: Page, kind: str) -> etree._Element:
    section = etree.Element("section")
    section.set("class", kind)
    section.append(page_picture(page))
    return section


def page_picture(page: Page) -> etree._Element:
    """A page as an SVG element of its size; what it is called stands for those who don't see it."""
    width, height = _size(page)
    drawn = etree.Element("svg", xmlns=SVG)
    drawn.set("width", f"{width}mm")
    drawn.set("height", f"{height}mm")
    drawn.set("viewBox", f"0 0 {width} {height}")
    if page.name:
        drawn.set("role", "img")
        drawn.set("aria-label", one_line(page.name))
    drawn.extend(_drawn(item) for item in page.items)
    return drawn


def _drawn(item: Item) -> etree._Element:
    if isinstance(item, Path):
        return _path(item)
    if isinstance(item, Text):
        return _text(item)
    return _group(item)


def _path(item: Path) -> etree._Element:
    element = etree.Element("path", d=write_path(item.curves, DIGITS))
    element.set("fill", item.fill or "none")
    if item.fill:
        element.set("fill-rule", "evenodd")
    if item.stroke:
        element.set("stroke", item.stroke)
        element.set("stroke-width", compact(item.stroke_mm, DIGITS))
        element.set("stroke-linecap", "round")
        element.set("stroke-linejoin", "round")
    if item.stroke and item.dash_mm:
        element.set("stroke-dasharray", " ".join(compact(part, DIGITS) for part in item.dash_mm))
    return element


def _text(item: Text) -> etree._Element:
    """A text that takes the width it has in Helvetica, whatever font the reader's computer has."""
    x, y = (compact(number, DIGITS) for number in item.place_mm)
    words = one_line(item.text)
    element = etree.Element("text", x=x, y=y, fill=item.colour)
    element.set("font-size", compact(item.size_mm, DIGITS))
    element.set("textLength", compact(text_width_mm(words, item.size_mm, item.bold), DIGITS))
    element.set("lengthAdjust", "spacingAndGlyphs")
    if item.bold:
        element.set("class", "bold")
    if item.anchor != "start":
        element.set("text-anchor", item.anchor)
    if item.angle_degrees:
        element.set("transform", f"rotate({compact(item.angle_degrees, DIGITS)} {x} {y})")
    element.text = words
    return element


def _group(group: Group) -> etree._Element:
    """The items in an SVG of its own, which shows nothing beyond its window."""
    left, top, right, bottom = group.clip_mm
    width, height = compact(right - left, DIGITS), compact(bottom - top, DIGITS)
    x, y = group.shift_mm
    seen = f"{compact(left - x, DIGITS)} {compact(top - y, DIGITS)} {width} {height}"
    element = etree.Element("svg", x=compact(left, DIGITS), y=compact(top, DIGITS))
    element.set("width", width)
    element.set("height", height)
    element.set("viewBox", seen)
    element.set("overflow", "hidden")
    element.extend(_drawn(item) for item in group.items)
    return element
