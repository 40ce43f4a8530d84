"""Declarations of CSS: from style attributes and from the document's style sheets, by weight.

The cascade: CSS 2.1, section 6.4. Only the properties that sewing cares about are read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any, cast

from lxml import etree

from applique.errors import InputError
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

MOST_SHEET_LETTERS = 500_000
"""Of all style sheets; drawing programs write some thousand, and the parser takes its time."""

MOST_LOOKS = 2_000_000
"""Every selector is held against every element, and one that asks for siblings against every two of
them: a few seconds."""

_REMEDY = "save it as plain SVG with its styles on the shapes themselves"

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
    that can't be read. Raises InputError where finding the elements would take too long.
    """
    sheets = [sheet.text or "" for sheet in root.iter(svg("style"))]
    if not any(sheet.strip() for sheet in sheets):
        return {}
    if sum(map(len, sheets)) > MOST_SHEET_LETTERS:
        raise InputError(
            f"the document's style sheets have more than {MOST_SHEET_LETTERS} letters; {_REMEDY}"
        )
    elements = sum(1 for _ in root.iter("*"))
    work = 0
    found: dict[etree._Element, list[tuple[tuple[int, int, int], Declarations]]] = {}
    for specificity, query, declarations in _queries("\n".join(sheets)):
        work += elements ** (1 + min(3, query.count("following-sibling::")))
        if work > MOST_LOOKS:
            raise InputError(
                f"the document's style sheets have too many rules for its many elements; {_REMEDY}"
            )
        try:
            matches = cast(list[etree._Element], root.xpath(query))
        except (etree.XPathError, ValueError):  # The latter for signs that XML can't hold.
            continue
        for element in matches:
            found.setdefault(element, []).append((specificity, declarations))
    return {
        element: [declarations for _, declarations in sorted(rules, key=lambda rule: rule[0])]
        for element, rules in found.items()
    }


def _queries(sheet: str) -> Iterator[tuple[tuple[int, int, int], str, Declarations]]:
    """Each selector of a style sheet as its specificity, an XPath query and what it declares."""
    for prelude, content in _rules(sheet):
        declarations = declarations_of(content)
        for selector in _selectors(prelude):
            query = _query(selector)
            if query is not None:
                yield selector.specificity(), query, declarations


def _rules(sheet: str) -> Iterator[tuple[str, str]]:
    """What stands before and within the braces of each rule of a style sheet. Of a sheet with a
    number of thousands of digits nothing can be read."""
    import tinycss2  # Only documents with style sheets need a parser.

    try:
        rules = tinycss2.parse_stylesheet(sheet, skip_comments=True, skip_whitespace=True)
    except ValueError:
        return
    for rule in rules:
        if rule.type == "qualified-rule":
            try:
                yield tinycss2.serialize(rule.prelude), tinycss2.serialize(rule.content)
            except RecursionError:  # Brackets within brackets without end.
                continue


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
