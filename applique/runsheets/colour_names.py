"""Plain words for colours, for threads without a name and for what a machine's screen shows."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from applique.threads.difference import difference

_NAMES: Mapping[str, tuple[str, ...]] = {
    "white": ("#ffffff",),
    "cream": ("#f7eed3",),
    "light grey": ("#cfcfcf",),
    "grey": ("#8c8c8c",),
    "dark grey": ("#4d4d4d",),
    "black": ("#141414",),
    "pale pink": ("#f4c9d2",),
    "pink": ("#e87fa3",),
    "magenta": ("#c42a7a", "#f02ad8"),
    "red": ("#c8202a",),
    "dark red": ("#7c1820",),
    "brick red": ("#a8452f",),
    "orange": ("#ee7d1f", "#ffa31a"),
    "peach": ("#f6bd92",),
    "pale yellow": ("#f7e99b",),
    "yellow": ("#f6d521",),
    "gold": ("#cf9d2b",),
    "beige": ("#d9c6a2",),
    "light brown": ("#a87b4f",),
    "brown": ("#6e4526",),
    "dark brown": ("#3c2618",),
    "pale green": ("#bfdcae",),
    "light green": ("#84c25a",),
    "green": ("#2f8b3c",),
    "dark green": ("#1c4b2a",),
    "olive": ("#73743a",),
    "turquoise": ("#2fa9a4", "#2ee6e6"),
    "dark turquoise": ("#1b5f66",),
    "pale blue": ("#c5dff0",),
    "light blue": ("#7db3dc",),
    "blue": ("#2c67b4", "#1530e8"),
    "grey blue": ("#5c7d95",),
    "dark blue": ("#1c3a6b", "#10107a"),
    "pale lilac": ("#e4dff2",),
    "lilac": ("#c3aadb",),
    "violet": ("#6d3f9c",),
    "dark violet": ("#3a2052",),
}
"""Our own choice: words that everybody has, with a colour or two in the middle of what each
means."""

_REMEMBERED = 1024


@lru_cache(maxsize=_REMEMBERED)
def colour_name(colour: str) -> str:
    """The word for a colour given as #rrggbb: that of which a colour looks most like it
    (CIEDE2000)."""
    return min(_NAMES, key=lambda name: min(difference(colour, one) for one in _NAMES[name]))
