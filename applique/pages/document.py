"""What all pages share: one HTML file with its styles and scripts inside, made of elements."""

from __future__ import annotations

from collections.abc import Iterable

from lxml import etree

from applique.pages.resources import script_text, style_text

Content = etree._Element | str


def element(tag: str, *contents: Content, **attributes: str) -> etree._Element:
    """An HTML element holding texts and elements in their order.

    An attribute's underscore is a hyphen (`aria_label`), and one at the end is dropped (`class_`).
    """
    made = etree.Element(tag)
    for name, value in attributes.items():
        made.set(name.rstrip("_").replace("_", "-"), value)
    add(made, contents)
    return made


def add(parent: etree._Element, contents: Iterable[Content]) -> None:
    """Put texts and elements at the end of an element."""
    for content in contents:
        if not isinstance(content, str):
            parent.append(content)
        elif len(parent):
            parent[-1].tail = (parent[-1].tail or "") + content
        else:
            parent.text = (parent.text or "") + content


def page_bytes(
    title: str,
    body: Iterable[Content],
    styles: Iterable[str] = (),
    scripts: Iterable[str] = (),
    data: tuple[str, str] | None = None,
) -> bytes:
    """A page in UTF-8: the base style, then the named style sheets and scripts of this room.

    `body` is what stands in the page's main element; `data` is the id and the text (JSON or base64)
    of a block that a script reads.
    """
    head = element("head", element("meta", charset="utf-8"))
    head.append(element("meta", name="viewport", content="width=device-width, initial-scale=1"))
    head.append(element("title", title))
    sheets = "".join(style_text(name) for name in ("base", *styles))
    head.append(element("style", sheets))
    everything = element("body", element("main", *body))
    if data is not None:
        everything.append(_block("application/json", data[1], id=data[0]))
    for name in scripts:
        everything.append(_block("", script_text(name)))
    root = element("html", head, everything, lang="en")
    text = etree.tostring(root, method="html", encoding="unicode", doctype="<!DOCTYPE html>")
    return text.encode("utf-8") + b"\n"


def _block(kind: str, text: str, **attributes: str) -> etree._Element:
    """A script element. Nothing in it may end it early."""
    attributes |= {"type": kind} if kind else {}
    return element("script", text.replace("</", "<\\/"), **attributes)
