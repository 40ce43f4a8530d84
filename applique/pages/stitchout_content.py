"""What a stitch-out page plays: stitch files in their places on the block, and fabrics laid.

Lengths are mm on the block's page, x to the right and y down; colours are #rrggbb.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry.base import BaseGeometry

BoxMm = tuple[float, float, float, float]
"""Left, top, right and bottom."""


@dataclass(frozen=True, eq=False)
class Patch:
    """A fabric that is laid. `shape` is how it lies in the end; `untrimmed` what is laid first
    where it is trimmed later, else None. `picture` is a data URI of a print that shows
    `picture_mm` (width and height) of it, "" for plain fabric."""

    label: str
    fabric: str
    colour: str
    shape: BaseGeometry
    untrimmed: BaseGeometry | None = None
    picture: str = ""
    picture_mm: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class PatchPrint:
    """What is printed on a fabric: a PNG that shows `width_mm` by `height_mm` of it."""

    picture: bytes
    width_mm: float
    height_mm: float

    def on(self, patch: Patch) -> Patch:
        """A fabric with this print on it."""
        uri = f"data:image/png;base64,{base64.b64encode(self.picture).decode()}"
        return replace(patch, picture=uri, picture_mm=(self.width_mm, self.height_mm))


@dataclass(frozen=True, eq=False)
class PlayedBlock:
    """What is sewn between two stops of the machine.

    `colour` is the thread's, "" where the needle has none. `screen_colour` is what the file has the
    machine show instead, "" if that is the same or the file stores no colours. `runs` are (n, 2)
    arrays of penetrations, each sewn without a trim. At the stop before the block `words` tell what
    to do, `laid` are the fabrics laid and `trimmed` the labels of those that are trimmed. `labels`
    are the pieces that are sewn.
    """

    colour: str
    thread_name: str
    screen_colour: str
    runs: tuple[np.ndarray, ...]
    laid: tuple[Patch, ...] = ()
    trimmed: tuple[str, ...] = ()
    words: str = ""
    labels: tuple[str, ...] = ()

    @property
    def stitch_count(self) -> int:
        """The number of needle penetrations."""
        return sum(len(run) for run in self.runs)


@dataclass(frozen=True, eq=False)
class Sitting:
    """One stitch file: what is sewn in one hooping. `field_box_mm` is the hoop's field on the
    block, None where none is known."""

    title: str
    field_box_mm: BoxMm | None
    blocks: tuple[PlayedBlock, ...]


@dataclass(frozen=True, eq=False)
class StitchOut:
    """A block's whole sewing. `area_mm` is what is shown of the page, covered with the background;
    `seam_box_mm` the finished block, None where nobody has said how large it is."""

    title: str
    background_colour: str
    area_mm: BoxMm
    seam_box_mm: BoxMm | None
    sittings: tuple[Sitting, ...]

    @property
    def stitch_count(self) -> int:
        """The number of needle penetrations in all files."""
        return sum(block.stitch_count for sitting in self.sittings for block in sitting.blocks)

    def printed(self, prints: Mapping[str, PatchPrint]) -> StitchOut:
        """The same with the prints of some fabrics, by their names."""
        sittings = [
            replace(sitting, blocks=tuple(_printed(block, prints) for block in sitting.blocks))
            for sitting in self.sittings
        ]
        return replace(self, sittings=tuple(sittings))


def _printed(block: PlayedBlock, prints: Mapping[str, PatchPrint]) -> PlayedBlock:
    laid = [
        prints[patch.fabric].on(patch) if patch.fabric in prints else patch for patch in block.laid
    ]
    return replace(block, laid=tuple(laid))
