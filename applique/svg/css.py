"""Declarations of CSS: from style attributes and from the document's style sheets, by weight.

The cascade: CSS 2.1, section 6.4. Only the properties that sewing cares about are read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any, cast

from lxml import etree

from applique.svg.vocabulary import svg

PROPERTIES = (
    "fill",
    "fill-opacity",
    "fill-rule",
    "stroke",
    "color",
    "visibility",
    "display",
    "opacity",
    "clip-path",
    "mask",
    "stop-color",
    "stop-opacity",
    "stroke-width",
    "stroke-linecap",
    "stroke-linejoin",
    "stroke-miterlimit",
    "stroke-dasharray",
    "stroke-opacity",
    "vector-effect",
    "marker",
    "marker-start",
    "marker-mid",
    "marker-end",
    "filter",
)

_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_IMPORTANT = re.compile(r"!\s*important\s*$", re.IGNORECASE)
_NAMESPACE = re.compile(r"(?:[\w-]+|\*)?\|(?=[\w*])")


@dataclass(frozen=True)
class Declarations:
    """Values by property, those marked `!important` apart."""

    normal: dict[str, str] = field(default_factory=dict)
    important: dict[str, str] = field(default_factory=dict)


def declarations_of(style: str) -> Declarations:
    """The known properties of a style attribute, or of the inside of a rule."""
    found = Declarations()
    for declaration in _COMMENT.sub("", style).split(";"):
        name, _, value = declaration.partition(":")
        name = name.strip().lower()
        if name in PROPERTIES:
            weight = found.important if _IMPORTANT.search(value) else found.normal
            weight[name] = _IMPORTANT.sub("", value).strip()
    return found


def given_to(element: etree._Element, rules: Iterable[Declarations] = ()) -> dict[str, str]:
    """What an element's attributes, the rules that match it (the weakest first) and its style
    attribute say, the strongest word for each property."""
    rules = tuple(rules)
    own = declarations_of(element.get("style", ""))
    given = {name: element.get(name, "") for name in PROPERTIES if element.get(name) is not None}
    for declarations in (*rules, own):
        given.update(declarations.normal)
    for declarations in (*rules, own):
        given.update(declarations.important)
    return given


def rules_of(root: etree._Element) -> dict[etree._Element, list[Declarations]]:
    """The rules of the document's style sheets that match each element, the weakest first.

    Rules that hold only sometimes (in print, under the pointer) are passed over, and so are those
    that can't be read.
    """
    sheets = [sheet.text or "" for sheet in root.iter(svg("style"))]
    if not any(sheet.strip() for sheet in sheets):
        return {}
    found: dict[etree._Element, list[tuple[tuple[int, int, int], Declarations]]] = {}
    for specificity, query, declarations in _queries("\n".join(sheets)):
        try:
            matches = cast(list[etree._Element], root.xpath(query))
        except etree.XPathError:
            continue
        for element in matches:
            found.setdefault(element, []).append((specificity, declarations))
    return {
        element: [declarations for _, declarations in sorted(rules, key=lambda rule: rule[0])]
        for element, rules in found.items()
    }


def _queries(sheet: str) -> Iterator[tuple[tuple[int, int, int], str, Declarations]]:
    """Each selector of a style sheet as its specificity, an XPath query and what it declares."""
    import tinycss2  # Only documents with style sheets need a parser.

    for rule in tinycss2.parse_stylesheet(sheet, skip_comments=True, skip_whitespace=True):
        if rule.type == "qualified-rule":
            declarations = declarations_of(tinycss2.serialize(rule.content))
            for selector in _selectors(tinycss2.serialize(rule.prelude)):
                query = _query(selector)
                if query is not None:
                    yield selector.specificity(), query, declarations


def _selectors(text: str) -> list[Any]:
    import cssselect

    try:
        return list(cssselect.parse(_NAMESPACE.sub("", text)))
    except (cssselect.SelectorError, RecursionError):
        return []


def _query(selector: Any) -> str | None:
    import cssselect

    try:
        query = cssselect.GenericTranslator().selector_to_xpath(selector, "descendant-or-self::")
    except (cssselect.SelectorError, RecursionError):
        return None
    # Element names match whatever their namespace is.
    return re.sub(r"(::|/)([A-Za-z][\w-]*)(?=\[|$|/)", r"\1*[local-name() = '\2']", query)
