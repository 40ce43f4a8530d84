"""One colour for a gradient: the mean of what it shows from its first stop to its last."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
from lxml import etree

from applique.svg.style import colour_hex
from applique.svg.vocabulary import XLINK, svg

Given = Mapping[str, str]
"""What is declared for an element, by property."""

_MOST_LINKS = 8
"""Gradients that take their stops from one another, at most."""

_GRADIENTS = (svg("linearGradient"), svg("radialGradient"))


def average_colour(
    server: etree._Element,
    by_id: Mapping[str, etree._Element],
    given_for: Callable[[etree._Element], Given],
) -> str | None:
    """The mean colour of a gradient along its offsets from 0 to 1, in sRGB as SVG blends it by
    default, as #rrggbb; None if it is no gradient or has no stops.

    What is see-through counts for less, by its opacity (SVG 2, section 14.2.4).
    """
    if server.tag not in _GRADIENTS:
        return None
    stops = [_stop(stop, given_for(stop)) for stop in _stops(server, by_id)]
    if not stops:
        return None
    offsets = np.maximum.accumulate([offset for offset, _, _ in stops])
    colours = np.array([colour for _, colour, _ in stops], dtype=float)
    alphas = np.array([alpha for _, _, alpha in stops])
    alphas = alphas if alphas.any() else np.ones(len(stops))
    # Each stop counts half of the way to its neighbours; the first and last reach to the ends.
    reach = np.diff(offsets) / 2
    weights = np.append(reach, 1 - offsets[-1]) + np.insert(reach, 0, offsets[0])
    weights = weights * alphas
    mean = weights @ colours / weights.sum() if weights.sum() > 0 else colours.mean(axis=0)
    return "#" + "".join(f"{round(channel):02x}" for channel in mean)


def _stops(server: etree._Element, by_id: Mapping[str, etree._Element]) -> list[etree._Element]:
    """The stops of a gradient, or of the one it takes them from."""
    found: etree._Element | None = server
    for _ in range(_MOST_LINKS):
        if found is None:
            break
        stops = list(found.iterchildren(svg("stop")))
        if stops:
            return stops
        target = found.get(f"{{{XLINK}}}href") or found.get("href") or ""
        found = by_id.get(target.lstrip("#"))
    return []


def _stop(stop: etree._Element, given: Given) -> tuple[float, tuple[int, int, int], float]:
    """Offset from 0 to 1, colour and opacity of a stop."""
    colour = colour_hex(given.get("stop-color", "#000")) or "#000000"
    channels = int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
    return _share(stop.get("offset", "0"), 0.0), channels, _share(given.get("stop-opacity", ""), 1)


def _share(text: str, otherwise: float) -> float:
    """A number or percentage from 0 to 1."""
    text = text.strip()
    try:
        value = float(text[:-1]) / 100 if text.endswith("%") else float(text)
    except ValueError:
        return otherwise
    return min(max(value, 0.0), 1.0)
