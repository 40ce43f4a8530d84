"""Fabrics that have a photographed swatch: their prints, and their pictures within pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from applique.pictures.swatches import FabricPrint, swatch_of
from applique.quilt.project import Swatch


@dataclass(frozen=True, eq=False)
class Swatched:
    """A swatch with the bytes of its picture."""

    data: bytes
    swatch: Swatch


def prints_of(swatches: Mapping[str, Swatched]) -> dict[str, FabricPrint]:
    """The prints by fabric; raises InputError for a picture that can't be read."""
    return {
        name: swatch_of(it.data, it.swatch.width_mm, it.swatch.height_mm)
        for name, it in swatches.items()
    }
