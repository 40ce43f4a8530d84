"""What quilt.toml says: the plain frozen objects that the rest of the quilt is made from.

Lengths are millimetres. `quilt.reading` makes these from the text; nothing here opens a file, and
the names of files stand as they were written, relative to quilt.toml.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from applique.cutting.request import CutRequest
from applique.hoops.request import HoopRequest
from applique.model import Fabric
from applique.quilt.machine import Machine
from applique.threads.spool import Spool


@dataclass(frozen=True)
class Swatch:
    """A photograph of a fabric: its file, and the true size of what it shows."""

    file: str
    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class FabricStock:
    """A fabric as it is bought: what pieces know of it, its usable width, its price a metre and its
    swatch, each None where it isn't known."""

    fabric: Fabric
    usable_width_mm: float | None = None
    price_a_metre: float | None = None
    swatch: Swatch | None = None


@dataclass(frozen=True)
class BlockEntry:
    """One block of the quilt. `file` is a drawing (.svg) or a layout (.toml) and `is_layout` tells
    which; `finished_mm` and `seam_allowance_mm` are None where the file's own hold; `week` is 0
    where none is given; `settings` are stitch settings over those of the file. `line` is where
    quilt.toml says so, `stem` what the names of its files begin with, another for every block."""

    name: str
    file: str
    is_layout: bool
    copies: int = 1
    finished_mm: tuple[float, float] | None = None
    seam_allowance_mm: float | None = None
    week: int = 0
    settings: Mapping[str, float | str] = field(default_factory=dict)
    line: int = 0
    stem: str = ""


@dataclass(frozen=True)
class Handwork:
    """Minutes the user needs for each: laying a piece, trimming one in the hoop, changing the
    thread, hooping. (From memory; everybody's own.)"""

    laying_minutes: float = 1.5
    trimming_minutes: float = 3.0
    threading_minutes: float = 1.0
    hooping_minutes: float = 5.0


@dataclass(frozen=True)
class Guidance:
    """The user's own words on needle and stabiliser, and notes for every run sheet."""

    needle: str = ""
    stabiliser: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Strip:
    """A strip of fabric of a finished width: sashing, a border, the binding (there as it is cut).
    `fabric` is "" where none is chosen yet."""

    width_mm: float
    fabric: str = ""


@dataclass(frozen=True)
class Lining:
    """What lies under the whole quilt: the width it comes in, and how far it reaches beyond the top
    on each side."""

    width_mm: float
    beyond_mm: float
    name: str = ""


@dataclass(frozen=True)
class Assembly:
    """How the blocks make a quilt. `rows` are names of blocks, "" for an empty place; sashing lies
    between blocks, and `cornerstone` is the fabric of the squares where it crosses ("" for none);
    borders from the inside outwards. `batting` and `backing` lie under everything; `stabiliser_mm`
    is the width of the roll that blocks are hooped with. None where the user doesn't want it
    reckoned."""

    rows: tuple[tuple[str, ...], ...] = ()
    sashing: Strip | None = None
    cornerstone: str = ""
    borders: tuple[Strip, ...] = ()
    binding: Strip | None = None
    backing: Lining | None = None
    batting: Lining | None = None
    stabiliser_mm: float | None = None
    seam_allowance_mm: float = 6.35


@dataclass(frozen=True)
class Project:
    """Everything that quilt.toml says. `hooping` is None where no hoop is named: each block is then
    one file. `spools` are the threads that may be used, empty for any colour (a table in a file of
    its own is named by `thread_file`); `most_nesting_s` is how long sheets may be improved on, 0
    for the plain packer alone, whose result is always the same."""

    name: str
    fabrics: Mapping[str, FabricStock]
    spools: tuple[Spool, ...]
    thread_file: str
    machine: Machine
    hooping: HoopRequest | None
    cutting: CutRequest
    most_nesting_s: float
    paper_mm: tuple[float, float]
    handwork: Handwork
    guidance: Guidance
    assembly: Assembly
    defaults: Mapping[str, float | str]
    blocks: tuple[BlockEntry, ...]

    def block(self, name: str) -> BlockEntry | None:
        """The block of a name, None if there is none."""
        return next((block for block in self.blocks if block.name == name), None)
