"""What an element looks like, as far as sewing cares: is it shown, is it filled, which colour.

Properties come from presentation attributes, the document's style sheets and the style attribute,
in rising precedence (CSS 2.1, section 6.4; SVG 2, section 6.6), and are inherited.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import cast

from lxml import etree

from applique.svg.vocabulary import XLINK, svg

_INHERITED = ("fill", "fill-rule", "visibility", "color", "clip-rule")
_OWN = ("display", "opacity", "fill-opacity", "clip-path", "mask")
_KNOWN = frozenset(_INHERITED + _OWN)


@dataclass(frozen=True)
class Look:
    """The inherited look of an element. `fill` is #rrggbb, or None where nothing is filled."""

    fill: str | None = "#000000"
    fill_rule: str = "nonzero"
    displayed: bool = True
    visible: bool = True
    clipped: bool = False

    @property
    def shown(self) -> bool:
        """Whether the element appears in the picture at all."""
        return self.displayed and self.visible


class StyleSheet:
    """The document's <style> rules and paint servers, looked up when an element needs them."""

    def __init__(self, root: etree._Element) -> None:
        self._root = root

    def look(self, element: etree._Element, inherited: Look) -> Look:
        """The look of an element inside one that looks as `inherited`."""
        given = self._given(element)
        look = inherited
        if "fill" in given:
            look = replace(look, fill=self._paint(given["fill"], look.fill))
        if _is_zero(given.get("fill-opacity")) or _is_zero(given.get("opacity")):
            look = replace(look, fill=None)
        if given.get("fill-rule") in ("nonzero", "evenodd"):
            look = replace(look, fill_rule=given["fill-rule"])
        if given.get("display") == "none":
            look = replace(look, displayed=False)
        if given.get("visibility") in ("visible", "hidden", "collapse"):
            look = replace(look, visible=given["visibility"] == "visible")
        if given.get("clip-path", "none") != "none" or given.get("mask", "none") != "none":
            look = replace(look, clipped=True)
        return look

    def _given(self, element: etree._Element) -> Mapping[str, str]:
        given = {name: element.get(name, "") for name in _KNOWN if element.get(name) is not None}
        for declarations in self._rules.get(element, ()):
            given.update(declarations)
        given.update(declarations_of(element.get("style", "")))
        return given

    @cached_property
    def _rules(self) -> dict[etree._Element, list[dict[str, str]]]:
        """Per element the declarations of every style rule that matches it, weakest first."""
        sheets = [sheet.text or "" for sheet in self._root.iter(svg("style"))]
        if not any(sheet.strip() for sheet in sheets):
            return {}
        return _matched(self._root, "\n".join(sheets))

    def _paint(self, text: str, inherited: str | None) -> str | None:
        text = text.strip()
        if text == "inherit":
            return inherited
        if text in ("none", "transparent"):
            return None
        if text.startswith("url("):
            return self._paint_server(text)
        return colour_hex(text) or inherited

    def _paint_server(self, text: str) -> str:
        """The first stop of a gradient stands for it; a pattern is plain grey."""
        target = text[4:].split(")")[0].strip("'\" #")
        for _ in range(8):
            found = self._by_id.get(target)
            if found is None:
                break
            for stop in found.iter(svg("stop")):
                given = declarations_of(stop.get("style", ""))
                return colour_hex(given.get("stop-color", stop.get("stop-color", "#000"))) or _GREY
            target = (found.get(f"{{{XLINK}}}href") or found.get("href") or "").lstrip("#")
        return _GREY

    @cached_property
    def _by_id(self) -> dict[str, etree._Element]:
        return {found.get("id", ""): found for found in self._root.iter("*") if found.get("id")}


_GREY = "#808080"


def declarations_of(style: str) -> dict[str, str]:
    """The known properties of a style attribute."""
    given = {}
    for declaration in style.split(";"):
        name, _, value = declaration.partition(":")
        if name.strip() in _KNOWN or name.strip() == "stop-color":
            given[name.strip()] = value.replace("!important", "").strip()
    return given


def colour_hex(text: str) -> str | None:
    """A CSS colour as #rrggbb; None if it is none, or wholly transparent."""
    text = text.strip()
    if len(text) == 7 and text[0] == "#":
        try:
            return f"#{int(text[1:], 16):06x}"
        except ValueError:
            return None
    import tinycss2.color3  # Only unusual colours need a parser.

    colour = tinycss2.color3.parse_color(text)
    if colour is None or isinstance(colour, str) or colour.alpha == 0:
        return None
    channels = (min(max(round(255 * share), 0), 255) for share in colour[:3])
    return "#" + "".join(f"{channel:02x}" for channel in channels)


def _is_zero(text: str | None) -> bool:
    try:
        return text is not None and float(text) == 0
    except ValueError:
        return False


def _matched(root: etree._Element, sheet: str) -> dict[etree._Element, list[dict[str, str]]]:
    import cssselect  # Only documents with style sheets need a selector engine.
    import tinycss2

    translator = cssselect.GenericTranslator()
    found: dict[etree._Element, list[tuple[tuple[int, int, int], dict[str, str]]]] = {}
    for rule in tinycss2.parse_stylesheet(sheet, skip_comments=True, skip_whitespace=True):
        if rule.type != "qualified-rule":
            continue
        declarations = declarations_of(tinycss2.serialize(rule.content))
        try:
            selectors = cssselect.parse(tinycss2.serialize(rule.prelude))
        except cssselect.SelectorError:
            continue
        for selector in selectors:
            query = translator.selector_to_xpath(selector, prefix="descendant-or-self::")
            matches = cast(list[etree._Element], root.xpath(_any_namespace(query)))
            for element in matches:
                found.setdefault(element, []).append((selector.specificity(), declarations))
    return {
        element: [declarations for _, declarations in sorted(rules, key=lambda rule: rule[0])]
        for element, rules in found.items()
    }


def _any_namespace(query: str) -> str:
    """Element names in a translated selector match whatever their namespace is."""
    return re.sub(r"(::|/)([A-Za-z][\w-]*)(?=\[|$|/)", r"\1*[local-name() = '\2']", query)
