"""What an element looks like, as far as sewing cares: is it shown, is it filled, which colour.

Properties come from presentation attributes, the document's style sheets and the style attribute,
in rising precedence (CSS 2.1, section 6.4; SVG 2, section 6.6), and are inherited.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from functools import cached_property

from lxml import etree

from applique.svg.css import Declarations, given_to, rules_of
from applique.svg.vocabulary import XLINK

_MOST_LINKS = 8
"""Gradients that take their colours from one another, at most."""

_URL = re.compile(r"url\(\s*['\"]?\s*#?([^'\")\s]*)\s*['\"]?\s*\)\s*(.*)", re.DOTALL)
_HEX = re.compile(r"#[0-9a-fA-F]{6}")


@dataclass(frozen=True)
class Look:
    """The inherited look of an element. `paint` is the colour of its fill as #rrggbb, None for
    none; `stroke` that of its line; `colour` is what `currentColor` means."""

    paint: str | None = "#000000"
    stroke: str | None = None
    fill_opacity: float = 1.0
    fill_rule: str = "nonzero"
    colour: str = "#000000"
    displayed: bool = True
    visible: bool = True
    clipped: bool = False

    @property
    def fill(self) -> str | None:
        """The colour that the inside is seen to have, as #rrggbb; None if nothing fills it."""
        return self.paint if self.fill_opacity > 0 else None

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
        given = given_to(element, self._rules.get(element, ()))
        look = inherited
        if "color" in given:
            look = replace(look, colour=colour_hex(given["color"]) or look.colour)
        if "fill" in given:
            look = replace(look, paint=self._paint(given["fill"], look.paint, look.colour))
        if "stroke" in given:
            look = replace(look, stroke=self._paint(given["stroke"], look.stroke, look.colour))
        if "fill-opacity" in given:
            look = replace(look, fill_opacity=_share(given["fill-opacity"], look.fill_opacity))
        if given.get("fill-rule") in ("nonzero", "evenodd"):
            look = replace(look, fill_rule=given["fill-rule"])
        if given.get("display") == "none" or _share(given.get("opacity", ""), 1.0) == 0:
            look = replace(look, displayed=False)
        if given.get("visibility") in ("visible", "hidden", "collapse"):
            look = replace(look, visible=given["visibility"] == "visible")
        if given.get("clip-path", "none") != "none" or given.get("mask", "none") != "none":
            look = replace(look, clipped=True)
        return look

    @cached_property
    def _rules(self) -> dict[etree._Element, list[Declarations]]:
        return rules_of(self._root)

    def _paint(self, text: str, inherited: str | None, current: str) -> str | None:
        """A value of `fill` or `stroke` as a colour; what can't be read leaves it as it is
        inherited."""
        word = text.strip().lower()
        if word == "none":
            return None
        if word == "currentcolor":
            return current
        if _HEX.fullmatch(word):
            return word
        server = _URL.fullmatch(text.strip())
        if server is None:
            found = css_colour(text)
            return inherited if found is None else colour_hex(text)
        element = self._by_id.get(server[1])
        if element is not None:
            return self._first_stop(element)
        if not server[2]:
            return None
        # Behind a link stands what is used where it leads nowhere: a colour, and no other link.
        is_link = _URL.fullmatch(server[2]) is not None
        return inherited if is_link else self._paint(server[2], inherited, current)

    def _first_stop(self, element: etree._Element) -> str:
        """The first stop of a gradient stands for it; a pattern is plain grey."""
        found: etree._Element | None = element
        for _ in range(_MOST_LINKS):
            if found is None:
                break
            for stop in found.iterchildren("{*}stop"):
                given = given_to(stop, self._rules.get(stop, ()))
                return colour_hex(given.get("stop-color", "#000")) or _GREY
            target = (found.get(f"{{{XLINK}}}href") or found.get("href") or "").lstrip("#")
            found = self._by_id.get(target)
        return _GREY

    @cached_property
    def _by_id(self) -> dict[str, etree._Element]:
        return elements_by_id(self._root)


_GREY = "#808080"


def elements_by_id(root: etree._Element) -> dict[str, etree._Element]:
    """Every element of a document that has an id."""
    return {found.get("id", ""): found for found in root.iter("*") if found.get("id")}


def is_hidden(element: etree._Element) -> bool:
    """Whether an element itself says that it is not to be displayed."""
    return given_to(element).get("display") == "none"


def colour_hex(text: str) -> str | None:
    """A CSS colour as #rrggbb; None if it is none, or wholly transparent."""
    text = text.strip()
    if _HEX.fullmatch(text):
        return text.lower()
    colour = css_colour(text)
    if colour is None or colour[3] == 0:
        return None
    return "#" + "".join(f"{round(255 * share):02x}" for share in colour[:3])


def css_colour(text: str) -> tuple[float, float, float, float] | None:
    """A CSS colour as its red, green, blue and alpha, from 0 to 1; None if it is none.

    Colours by other ways of seeing than red, green and blue (lab and its kin, wide gamuts) are not
    known here and count as none.
    """
    import tinycss2.color4  # Only unusual colours need a parser.

    try:
        colour = tinycss2.color4.parse_color(text)
        if colour is None or isinstance(colour, str):
            return None
        shares = [min(max(float(share), 0.0), 1.0) for share in colour.to("srgb")]
    except (NotImplementedError, ValueError, AttributeError):
        # The parser has no way from lab to red, and stumbles over empty brackets, over unknown
        # spaces and over numbers of thousands of digits.
        return None
    if any(map(math.isnan, shares)):
        return None
    red, green, blue, alpha = shares
    return red, green, blue, alpha


def _share(text: str, otherwise: float) -> float:
    """A number or a percentage as a share of one."""
    text = text.strip()
    try:
        return float(text[:-1]) / 100 if text.endswith("%") else float(text)
    except ValueError:
        return otherwise
