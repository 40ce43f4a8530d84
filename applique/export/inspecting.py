"""The figures of a machine file: its size, its stitches, and what it takes to sew it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from applique.export.formats import Colours
from applique.export.reading import Reading
from applique.hoops.fields import Field
from applique.hoops.usual import MARGIN_MM
from applique.model import Thread, ThreadBlock
from applique.proof.thread import ThreadUse, tails_use, thread_by_spool
from applique.proof.time import SewingTime, sewing_time
from applique.sequence.centre import LOPSIDED_MM, offset_from_centre
from applique.units import MM_PER_INCH


@dataclass(frozen=True)
class Extents:
    """How far the stitches reach from the origin, in mm; below 0 where they end before it."""

    left_mm: float
    right_mm: float
    up_mm: float
    down_mm: float

    @property
    def width_mm(self) -> float:
        """From the leftmost to the rightmost penetration."""
        return self.left_mm + self.right_mm

    @property
    def height_mm(self) -> float:
        """From the uppermost to the lowest penetration."""
        return self.up_mm + self.down_mm


@dataclass(frozen=True)
class ColourBlock:
    """What is sewn between two stops: its thread, and how many penetrations in how many runs."""

    thread: Thread
    stitches: int
    runs: int


@dataclass(frozen=True)
class StitchLengths:
    """The shortest, the middle and the longest stitch, in mm."""

    shortest_mm: float
    median_mm: float
    longest_mm: float


@dataclass(frozen=True)
class FieldFit:
    """A hoop's field that the stitches fit, and whether only turned by a quarter."""

    field: Field
    turned: bool


@dataclass(frozen=True)
class FileFigures:
    """A machine file in figures.

    `blocks` are its colour blocks in the order of sewing; `jumps` moves without a stitch, None
    where the format does not say. `thread` is without the tails. `fields` are the usual fields that
    it fits with a margin of 1 mm all round, the smallest first. `off_centre_mm` is how far right
    and down the middle of the stitches lies from the origin, None where that is less than a hand
    can lay true.
    """

    title: str
    design_name: str
    colours: Colours
    extents: Extents
    blocks: tuple[ColourBlock, ...]
    lengths: StitchLengths | None
    jumps: int | None
    spools: tuple[tuple[Thread, ThreadUse], ...]
    tails: ThreadUse
    time: SewingTime
    fields: tuple[FieldFit, ...]
    off_centre_mm: tuple[float, float] | None

    @property
    def stitches(self) -> int:
        """The number of penetrations."""
        return sum(block.stitches for block in self.blocks)

    @property
    def stops(self) -> int:
        """How often the machine stops for a change of colour or for the user."""
        return len(self.blocks) - 1

    @property
    def thread(self) -> ThreadUse:
        """What all threads take together, tails aside."""
        return sum((use for _, use in self.spools), ThreadUse())

    def as_dict(self) -> dict[str, Any]:
        """For a JSON report."""
        extents, lengths = self.extents, self.lengths
        return {
            "format": self.title,
            "name": self.design_name,
            "colours_stored": self.colours,
            "size_mm": [round(extents.width_mm, 1), round(extents.height_mm, 1)],
            "extents_mm": {
                "left": round(extents.left_mm, 1),
                "right": round(extents.right_mm, 1),
                "up": round(extents.up_mm, 1),
                "down": round(extents.down_mm, 1),
            },
            "off_centre_mm": None if self.off_centre_mm is None else _rounded(self.off_centre_mm),
            "stitches": self.stitches,
            "stops": self.stops,
            "trims": self.time.trims,
            "jumps": self.jumps,
            "stitch_mm": None if lengths is None else _lengths_dict(lengths),
            "blocks": [_block_dict(block) for block in self.blocks],
            "thread": {
                "spools": [_spool_dict(thread, use) for thread, use in self.spools],
                "needle_mm": round(self.thread.needle_mm),
                "bobbin_mm": round(self.thread.bobbin_mm),
                "tails_needle_mm": round(self.tails.needle_mm),
                "tails_bobbin_mm": round(self.tails.bobbin_mm),
            },
            "machine_minutes": round(self.time.machine_minutes, 1),
            "fields": [_fit_dict(fit) for fit in self.fields],
        }


def inspect_file(reading: Reading, fields: Sequence[Field]) -> FileFigures:
    """The figures of a machine file; `fields` are those it may fit."""
    blocks = reading.plan.blocks
    points = np.vstack([run for block in blocks for run in block.runs])
    (left, top), (right, bottom) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    extents = Extents(0.0 - left, right, 0.0 - top, bottom)  # No minus before a nought.
    off = offset_from_centre(reading.plan)
    return FileFigures(
        title=reading.title,
        design_name=reading.design_name,
        colours=reading.colours,
        extents=extents,
        blocks=tuple(
            ColourBlock(block.thread, sum(map(len, block.runs)), len(block.runs))
            for block in blocks
        ),
        lengths=_lengths(blocks),
        jumps=reading.jumps,
        spools=tuple(thread_by_spool(blocks).items()),
        tails=tails_use(blocks),
        time=sewing_time(blocks),
        fields=fields_for(extents.width_mm, extents.height_mm, fields),
        off_centre_mm=off if max(map(abs, off)) >= LOPSIDED_MM else None,
    )


def fields_for(width_mm: float, height_mm: float, fields: Sequence[Field]) -> tuple[FieldFit, ...]:
    """The fields that stitches of a size fit with the margin all round, the smallest first. Where
    they fit upright, they need not be turned."""
    fits = []
    for field in sorted(fields, key=lambda one: (one.width_mm * one.height_mm, one.size_mm)):
        width, height = field.width_mm - 2 * MARGIN_MM, field.height_mm - 2 * MARGIN_MM
        if width_mm <= width and height_mm <= height:
            fits.append(FieldFit(field, turned=False))
        elif height_mm <= width and width_mm <= height:
            fits.append(FieldFit(field, turned=True))
    return tuple(fits)


def _lengths(blocks: Sequence[ThreadBlock]) -> StitchLengths | None:
    steps = [np.diff(run, axis=0) for block in blocks for run in block.runs]
    length = np.hypot(*np.vstack(steps).T)
    if not len(length):
        return None
    return StitchLengths(float(length.min()), float(np.median(length)), float(length.max()))


def _rounded(pair: tuple[float, float]) -> list[float]:
    return [round(value, 2) for value in pair]


def _lengths_dict(lengths: StitchLengths) -> dict[str, float]:
    return {
        "shortest": round(lengths.shortest_mm, 2),
        "median": round(lengths.median_mm, 2),
        "longest": round(lengths.longest_mm, 2),
    }


def _block_dict(block: ColourBlock) -> dict[str, Any]:
    thread = block.thread
    return {
        "colour": thread.colour,
        "name": thread.name,
        "stitches": block.stitches,
        "trims": block.runs,
    }


def _spool_dict(thread: Thread, use: ThreadUse) -> dict[str, Any]:
    return {
        "colour": thread.colour,
        "name": thread.name,
        "needle_mm": round(use.needle_mm),
        "bobbin_mm": round(use.bobbin_mm),
    }


def _fit_dict(fit: FieldFit) -> dict[str, Any]:
    return {"field_mm": list(fit.field.size_mm), "turned": fit.turned}


def inches(length_mm: float) -> str:
    """A length as inches, to a tenth."""
    return f"{length_mm / MM_PER_INCH:.1f}"
