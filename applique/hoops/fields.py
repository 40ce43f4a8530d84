"""Hoop fields: the sizes within which a machine can sew, by size alone.

The usual ones stand in fields.toml, beside this file.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field

from applique.units import compact, size_mm

SMALLEST_MM = 20.0
LARGEST_MM = 1_000.0

_INCHES = re.compile(r"\s*([\d.]+)\s*[xX×]\s*([\d.]+)\s*(?:in|\"|″)\s*")


@dataclass(frozen=True)
class Field:
    """A field of a hoop, upright, in mm. `inches` is what it usually goes by, "" for no such name.
    Raises ValueError for a size that no hoop has."""

    width_mm: float
    height_mm: float
    inches: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        for side in (self.width_mm, self.height_mm):
            if not SMALLEST_MM <= side <= LARGEST_MM:
                raise ValueError(
                    f"the sides of a hoop's field lie between {SMALLEST_MM:g} and "
                    f"{LARGEST_MM:g} mm, not {side:g}"
                )

    @property
    def name(self) -> str:
        """Its size, as in `130x180`."""
        return f"{compact(self.width_mm)}x{compact(self.height_mm)}"

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height."""
        return self.width_mm, self.height_mm

    @property
    def told(self) -> str:
        """Its size with its usual name, for the user."""
        return f"{self.name} mm ({self.inches} in)" if self.inches else f"{self.name} mm"


def read_fields(text: str) -> tuple[Field, ...]:
    """The fields of a table written as TOML."""
    rows = tomllib.loads(text)["field"]
    return tuple(Field(float(row["width"]), float(row["height"]), row["inches"]) for row in rows)


def field_of(text: str, usual: Sequence[Field]) -> Field:
    """The field that `130x180`, or a usual name such as `5x7in`, stands for.

    Raises ValueError for what is neither, and for a name that two usual fields go by.
    """
    named = _INCHES.fullmatch(text)
    if named is None:
        width, height = size_mm(text)
        inches = next((one.inches for one in usual if one.size_mm == (width, height)), "")
        return Field(width, height, inches)
    name = f"{named[1]}x{named[2]}"
    found = [one for one in usual if one.inches == name]
    if len(found) == 1:
        return found[0]
    if found:
        sizes = " or ".join(one.name for one in found)
        raise ValueError(f"'{text}' is said of more than one field; give {sizes}")
    names = ", ".join(dict.fromkeys(one.inches for one in usual))
    raise ValueError(f"no usual field goes by '{text}'; give its size in mm, or one of {names} in")
