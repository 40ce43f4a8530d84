"""What is known about one key of quilt.toml: the reader and the schema are made from it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from applique.units import FURTHEST_MM

Kind = Literal[
    "text",
    "texts",
    "length",
    "number",
    "whole",
    "yes",
    "size",
    "sizes",
    "choice",
    "colour",
    "hex",
    "paper",
    "file",
    "needles",
    "rows",
    "table",
    "tables",
    "named",
    "settings",
]
"""What a value may be. A length is a number of mm, or a text with a unit; a colour is any of CSS, a
hex one #rrggbb; `named` is a table of tables by names of the user's own."""

NARROWEST_MM = 1.0
"""No strip and no roll is narrower."""

Default = float | str | bool | None


@dataclass(frozen=True)
class Key:
    """One key: what its value is and what it is for.

    `default` holds where it is left out, None where nothing does; a `needed` one may not be left
    out. Numbers lie between `low` and `high`, lengths in mm. `choices` are the words of a choice,
    or the endings of a file's name; `keys` what a table may hold; `only_with` names a key that must
    stand beside this one.
    """

    name: str
    kind: Kind
    help: str
    default: Default = None
    needed: bool = False
    low: float = -math.inf
    high: float = math.inf
    choices: tuple[str, ...] = ()
    keys: tuple[Key, ...] = ()
    only_with: str = ""


def length(
    name: str, help: str, default: float | None = None, low: float = 0, high: float = FURTHEST_MM
) -> Key:
    """The key of a length."""
    return Key(name, "length", help, default, low=low, high=high)


def width(help: str, needed: bool = False) -> Key:
    """The key of the width of a strip, a roll or a bolt."""
    return Key("width", "length", help, needed=needed, low=NARROWEST_MM, high=FURTHEST_MM)
