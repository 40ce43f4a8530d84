"""Fabrics that have a photographed swatch: their prints, and their pictures within pages."""

from __future__ import annotations

from collections.abc import Mapping

from applique.building.asked import Swatched
from applique.errors import InputError
from applique.pages.stitchout_content import PatchPrint
from applique.pictures.swatches import FabricPrint, print_picture, swatch_of
from applique.report import Finding, error

_PX_PER_MM = 5.0
"""How fine pages show a print: finer than a phone shows a block."""


def prints_of(swatches: Mapping[str, Swatched]) -> tuple[dict[str, FabricPrint], list[Finding]]:
    """The prints by fabric, and a fault for each picture that can't be read: that fabric is shown
    in its colour."""
    prints: dict[str, FabricPrint] = {}
    told = []
    for name, it in swatches.items():
        try:
            prints[name] = swatch_of(it.data, it.swatch.width_mm, it.swatch.height_mm)
        except (InputError, ValueError) as problem:
            text = f"its swatch {it.swatch.file} {problem}; it is shown in its colour meanwhile"
            told.append(error("swatch", name, text))
    return prints, told


def pictures_of(prints: Mapping[str, FabricPrint]) -> dict[str, bytes]:
    """PNG pictures of prints, as fine as pages show them."""
    return {name: print_picture(it.seen_at(_PX_PER_MM)) for name, it in prints.items()}


def patch_prints(swatches: Mapping[str, Swatched]) -> dict[str, PatchPrint]:
    """The prints as the stitch-out page takes them."""
    prints, _ = prints_of(swatches)
    return {
        name: PatchPrint(picture, prints[name].width_mm, prints[name].height_mm)
        for name, picture in pictures_of(prints).items()
    }
