"""How a shape is painted, beyond what sewing a block needs: strokes, see-through paint, filters.

Properties are inherited as CSS has it (SVG 2, section 6.6); strokes: SVG 2, section 13.5.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from lxml import etree

from applique.artwork.gradients import Given, average_colour
from applique.svg.css import given_to, rules_of
from applique.svg.style import css_colour, elements_by_id
from applique.svg.tree import Drawn
from applique.svg.viewport import Viewport
from applique.units import MM_PER_PX, MM_PER_UNIT, split_length

_NOT_INHERITED = ("opacity", "filter", "vector-effect", "clip-path", "mask", "display")
_MARKERS = ("marker", "marker-start", "marker-mid", "marker-end")
_SERVER = re.compile(r"url\(\s*['\"]?\s*#?([^'\")\s]*)")
_MAY_BE_CLEAR = re.compile(r"^(rgb|hsl|hwb|lab|lch|oklab|oklch|color|#)", re.IGNORECASE)
_PLAIN_HEX = re.compile(r"#([0-9a-fA-F]{3}){1,2}")
_OPAQUE = 0.999


@dataclass(frozen=True)
class Stroke:
    """A stroke that is seen. `width` is in the units of its curves; `cap` is butt, round or square;
    `join` miter, round or bevel; `miter_limit` the longest miter in widths."""

    colour: str
    width: float
    cap: str = "butt"
    join: str = "miter"
    miter_limit: float = 4.0


@dataclass(frozen=True)
class Paint:
    """What is seen of a shape: the colour of its fill as #rrggbb (None for none) and its stroke.

    `unscaled` says that the stroke's width is in px on the page, whatever the transforms; `remarks`
    are codes for what of its look can't be sewn (see `told`).
    """

    fill: str | None
    stroke: Stroke | None
    unscaled: bool
    remarks: frozenset[str]


class Painter:
    """Looks up how the shapes of one document are painted."""

    def __init__(self, root: etree._Element) -> None:
        self._root = root
        self._rules = rules_of(root)
        self._by_id = elements_by_id(root)
        self._given: dict[etree._Element, dict[str, str]] = {}

    def paint(self, item: Drawn) -> Paint:
        """The paint of one drawn shape."""
        values, opacity, filtered = self._inherited(item)
        remarks: set[str] = set()
        fill = self._colour(item.look.fill, values.get("fill", ""), remarks)
        stroke = self._stroke(item, values, remarks)
        clear = [opacity]
        if fill is not None:
            clear += [item.look.fill_opacity, _alpha(values.get("fill", ""))]
        if stroke is not None:
            clear += [_share(values.get("stroke-opacity", "")), _alpha(values.get("stroke", ""))]
        if math.prod(clear) < _OPAQUE:
            remarks.add("opacity")
        if filtered:
            remarks.add("filter")
        if item.look.clipped:
            remarks.add("clipped")
        own = self._of(item.element).get("vector-effect", "")
        return Paint(fill, stroke, "non-scaling-stroke" in own, frozenset(remarks))

    def _inherited(self, item: Drawn) -> tuple[dict[str, str], float, bool]:
        """Inherited values by property, the opacity of all groups together, and whether a filter
        lies on any of them."""
        values: dict[str, str] = {}
        opacity, filtered = 1.0, False
        for element in (self._root, *item.chain):
            given = self._of(element)
            opacity *= _share(given.get("opacity", ""))
            filtered |= given.get("filter", "none") != "none"
            values |= {
                name: value
                for name, value in given.items()
                if name not in _NOT_INHERITED and value != "inherit"
            }
        return values, opacity, filtered

    def _of(self, element: etree._Element) -> Given:
        if element not in self._given:
            self._given[element] = given_to(element, self._rules.get(element, ()))
        return self._given[element]

    def _colour(self, plain: str | None, text: str, remarks: set[str]) -> str | None:
        """The one colour that stands for a paint; `plain` is what it is where it is no gradient."""
        server = _SERVER.match(text.strip())
        if plain is None or server is None or server[1] not in self._by_id:
            return plain
        remarks.add("gradient")
        found = average_colour(self._by_id[server[1]], self._by_id, self._of)
        return found or plain

    def _stroke(self, item: Drawn, values: dict[str, str], remarks: set[str]) -> Stroke | None:
        width = _width(values.get("stroke-width", "1"), item.viewport)
        if item.look.stroke is None or width <= 0:
            return None
        if _share(values.get("stroke-opacity", "")) == 0:
            return None
        colour = self._colour(item.look.stroke, values.get("stroke", ""), remarks)
        if any(character in "123456789" for character in values.get("stroke-dasharray", "")):
            remarks.add("dashes")
        if any(values.get(name, "none") != "none" for name in _MARKERS):
            remarks.add("markers")
        cap, join = values.get("stroke-linecap", ""), values.get("stroke-linejoin", "")
        return Stroke(
            colour or item.look.stroke,
            width,
            cap if cap in ("round", "square") else "butt",
            join if join in ("round", "bevel") else "miter",
            max(1.0, _number(values.get("stroke-miterlimit", ""), 4.0)),
        )


def _width(text: str, viewport: Viewport) -> float:
    """A stroke's width in user units; one that can't be read is 1, as if it were not given."""
    try:
        number, unit = split_length(text)
    except ValueError:
        return 1.0
    if number < 0:
        return 1.0
    if unit == "%":
        return number / 100 * math.hypot(*viewport) / math.sqrt(2)
    return number * MM_PER_UNIT[unit] / MM_PER_PX if unit in MM_PER_UNIT else 1.0


def _share(text: str) -> float:
    """An opacity, 1 where none can be read."""
    text = text.strip()
    value = _number(text[:-1], 100.0) / 100 if text.endswith("%") else _number(text, 1.0)
    return min(max(value, 0.0), 1.0)


def _number(text: str, otherwise: float) -> float:
    try:
        return float(text)
    except ValueError:
        return otherwise


def _alpha(text: str) -> float:
    """How opaque a colour is by itself."""
    text = text.strip()
    if not _MAY_BE_CLEAR.match(text) or _PLAIN_HEX.fullmatch(text):
        return 1.0
    colour = css_colour(text)
    return 1.0 if colour is None else colour[3]
