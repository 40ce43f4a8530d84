"""Blocks of any size for the benchmarks: overlapping pieces on a canvas that grows with them."""

from __future__ import annotations

import math

from lxml import etree

SPACING_MM = 40.0
"""Pieces stand this far apart on a square grid and are a little larger, so neighbours overlap."""


def grid_block(count: int, scale: float = 1.0) -> etree._Element:
    """A block of `count` pieces: leaves, discs, rounded squares and stars in turn, about 45 mm
    across, times `scale`."""
    columns = math.ceil(math.sqrt(count))
    side = (columns + 1) * SPACING_MM
    shapes = []
    for k in range(count):
        x = (k % columns + 1) * SPACING_MM
        y = (k // columns + 1) * SPACING_MM
        colour = f"#{(k * 37) % 200 + 40:02x}{(k * 91) % 200 + 40:02x}{(k * 53) % 200 + 40:02x}"
        shapes.append(_SHAPES[k % len(_SHAPES)](x, y, k, colour))
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{side * scale}mm" '
        f'height="{side * scale}mm" '
        f'viewBox="0 0 {side} {side}">{"".join(shapes)}</svg>'
    )
    return etree.fromstring(text)


def _leaf(x: float, y: float, k: int, colour: str) -> str:
    return (
        f'<path id="p{k}" fill="{colour}" transform="translate({x},{y}) rotate({k * 29 % 360})" '
        'd="M-24,0 C-14,-17 14,-17 24,0 C14,17 -14,17 -24,0 Z"/>'
    )


def _disc(x: float, y: float, k: int, colour: str) -> str:
    return f'<circle id="p{k}" fill="{colour}" cx="{x}" cy="{y}" r="22"/>'


def _square(x: float, y: float, k: int, colour: str) -> str:
    return (
        f'<rect id="p{k}" fill="{colour}" x="{x - 21}" y="{y - 21}" width="42" height="42" rx="5" '
        f'transform="rotate({k * 17 % 90},{x},{y})"/>'
    )


def _star(x: float, y: float, k: int, colour: str) -> str:
    points = []
    for corner in range(10):
        radius = 24 if corner % 2 == 0 else 12
        angle = corner * math.pi / 5 + k
        points.append(f"{x + radius * math.cos(angle):.3f},{y + radius * math.sin(angle):.3f}")
    return f'<polygon id="p{k}" fill="{colour}" points="{" ".join(points)}"/>'


_SHAPES = (_leaf, _disc, _square, _star)
