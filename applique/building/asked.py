"""What the works are asked for: plain objects, so that nothing heavy is loaded to plan a build."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from applique.building.files import BlockFiles
from applique.building.sources import Source
from applique.cutting.needed import FabricNeeded
from applique.cutting.request import CutRequest
from applique.hoops.request import HoopRequest
from applique.model import Fabric
from applique.quilt.index_content import Link
from applique.quilt.machine import Machine
from applique.quilt.project import BlockEntry, Guidance, Handwork, Project, Swatch
from applique.threads.spool import Spool

CUT_FILES = "cut files"
"""The fact of a block's layers that tells, by fabric, which file has its cut lines."""

FABRICS = "fabrics"
"""The fact of a block's layers that names the fabrics that show in it."""

INDEX = "index.html"
SHOPPING = "shopping-list.html"
SHOPPING_TEXT = "shopping-list.txt"
SWATCHES = "swatches"


@dataclass(frozen=True, eq=False)
class Swatched:
    """A swatch with the bytes of its picture."""

    data: bytes
    swatch: Swatch


@dataclass(frozen=True, eq=False)
class LayersAsked:
    """A block to be layered. It is written as `layers`, its cut lines by fabric into the folder
    `cut_lines`, its pieces' steps are remembered in `steps`. `spools` are the threads that may be
    used, empty for any; `defaults` hold where the block has none of its own."""

    entry: BlockEntry
    source: Source
    fabrics: Mapping[str, Fabric]
    spools: tuple[Spool, ...]
    defaults: Mapping[str, float | str]
    layers: str
    cut_lines: str
    steps: str


@dataclass(frozen=True, eq=False)
class HoopingsAsked:
    """A layered block to be sewn: its files, the machine, the hoops that are there (None: one file
    for all of it), what the user said of her hands and materials, the paper of the templates, and
    the pictures of fabrics."""

    files: BlockFiles
    machine: Machine
    hooping: HoopRequest | None
    handwork: Handwork
    guidance: Guidance
    paper_mm: tuple[float, float]
    swatches: Mapping[str, Swatched]


@dataclass(frozen=True, eq=False)
class ProofAsked:
    """A layered block to be proved: the file it is read from, those that are written, and the
    pictures of fabrics."""

    layers: str
    figures: str
    proof_picture: str
    picture: str
    swatches: Mapping[str, Swatched]


@dataclass(frozen=True, eq=False)
class CutAsked:
    """The fabrics to be cut: one, or those that share mats; "" stands for the card that templates
    are cut from.

    `blocks` are all blocks of the quilt, so that each keeps its letter: its name, the files of
    those of its cut lines that are of these fabrics, and how often it is made.
    """

    fabrics: tuple[str, ...]
    blocks: tuple[tuple[str, tuple[str, ...], int], ...]
    request: CutRequest
    most_seconds: float
    folder: str
    paper_mm: tuple[float, float]


@dataclass(frozen=True, eq=False)
class BlockShown:
    """A block as it stands in the folder: what it comes to (None where it was never built), its
    picture ("" for none), links to its files, and what was noticed."""

    entry: BlockEntry
    facts: Mapping[str, Any] | None
    picture: str
    links: tuple[Link, ...]
    told: tuple[str, ...]


@dataclass(frozen=True)
class CutShown:
    """The cut sheets of a fabric."""

    fabric: str
    links: tuple[Link, ...]


@dataclass(frozen=True, eq=False)
class FrontAsked:
    """A quilt's front: its project, its blocks, the cut sheets, what the pieces need of each
    fabric, the pictures of fabrics, and what was noticed of the whole."""

    project: Project
    blocks: tuple[BlockShown, ...]
    cut: tuple[CutShown, ...]
    needed: tuple[FabricNeeded, ...]
    swatches: Mapping[str, Swatched]
    told: tuple[str, ...]
