"""The settings of one piece: checked, and filled in from what is given.

What settings there are is told in `table.py`.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from applique.defaults import SMALL_PIECE_MM, automatic
from applique.spec import Spec
from applique.table import SettingsTable

SLIVER_MM = 1.0
"""Fabric that shows no wider than this between two edges is nothing but a sliver."""


@dataclass(frozen=True, kw_only=True)
class Settings(SettingsTable):
    """The settings of one piece, every value filled in. Built by `resolve`."""

    def __post_init__(self) -> None:
        """Check every value against its range; raises ValueError naming the setting."""
        for spec in SPECS.values():
            spec.parse(getattr(self, spec.field))
        if self.edge in ("satin", "zigzag") and self.edge_outside_mm >= self.edge_width_mm:
            raise ValueError(
                f"edge-outside ({self.edge_outside_mm:g} mm) must be less than "
                f"edge-width ({self.edge_width_mm:g} mm)"
            )
        if self.corner_point_degrees > self.corner_cap_degrees:
            raise ValueError(
                f"corner-point ({self.corner_point_degrees:g} degrees) must not be more than "
                f"corner-cap ({self.corner_cap_degrees:g} degrees)"
            )

    @property
    def edge_inside_mm(self) -> float:
        """How far the edge reaches inside the outline, in mm."""
        if self.edge == "straight":
            return self.edge_inset_mm
        return self.edge_width_mm - self.edge_outside_mm

    @property
    def narrowest_mm(self) -> float:
        """A piece that is nowhere wider than this shows no fabric, or but a sliver, between the
        two sides of its edge, in mm."""
        return 2 * self.edge_inside_mm + SLIVER_MM

    @property
    def edge_covers(self) -> bool:
        """Whether the edge hides what lies beneath it: only a satin does."""
        return self.edge == "satin"

    def as_strings(self) -> dict[str, str]:
        """Every setting by name, as it would be written in the document."""
        return {name: plain(getattr(self, spec.field)) for name, spec in SPECS.items()}


def plain(value: float | str) -> str:
    """A setting's value as text: numbers without needless digits."""
    return value if isinstance(value, str) else f"{value:g}"


def _name_of(field_name: str) -> str:
    return field_name.removesuffix("_mm").removesuffix("_degrees").replace("_", "-")


SPECS: dict[str, Spec] = {
    _name_of(item.name): Spec(name=_name_of(item.name), field=item.name, **item.metadata)
    for item in dataclasses.fields(Settings)
}
"""Every setting by the name it bears in documents and on the command line."""


def parse_values(given: Mapping[str, float | str]) -> dict[str, float | str]:
    """Check setting values by name; raises ValueError naming the first that is wrong."""
    checked = {}
    for name, value in given.items():
        if name not in SPECS:
            raise ValueError(f"there is no setting '{name}'")
        checked[name] = SPECS[name].parse(value)
    return checked


def resolve(*layers: Mapping[str, float | str], narrow_side_mm: float = SMALL_PIECE_MM) -> Settings:
    """Merge layers of given values, the last one nearest, and fill in everything else.

    `narrow_side_mm` is the shorter side of the piece's bounding box: small pieces get a smaller
    blanket stitch. Raises ValueError naming the setting that is unknown or out of range.
    """
    values: dict[str, float | str] = {}
    for layer in layers:
        values.update(parse_values(layer))
    if values.get("method") == "turned":
        values.setdefault("edge", "zigzag")
    for name, spec in SPECS.items():
        if spec.default is not None:
            values.setdefault(name, spec.default)
    for name, value in automatic(values, narrow_side_mm).items():
        values.setdefault(name, value)
    filled: dict[str, Any] = {SPECS[name].field: value for name, value in values.items()}
    return Settings(**filled)
