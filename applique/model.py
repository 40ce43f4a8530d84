"""The plain objects that every stage passes on. No behaviour beyond what a value needs.

Coordinates are millimetres on the page, x to the right and y down, as in the drawing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from applique.origin import Origin
from applique.settings import Settings

Link = Literal["run", "trim"]
"""How the needle gets from the end of one path to the start of the next."""

StepKind = Literal[
    "placement", "tack", "trim-line", "underlay", "edge", "detail", "travel", "align", "baste"
]


@dataclass(frozen=True, eq=False)
class Curve:
    """One run of cubic Bezier segments.

    `segments` is an (n, 4, 2) array of mm; a straight line is a cubic whose inner points lie at
    its thirds and is marked in `straight`, an (n,) array of bool.
    """

    segments: np.ndarray
    straight: np.ndarray
    closed: bool


@dataclass(frozen=True, eq=False)
class Outline:
    """A closed shape: clean rings for reckoning, its own curves for cutting.

    `shape` holds rings flattened to 0.01 mm and snapped to 0.001 mm, outer rings anticlockwise in
    (x, y) and holes clockwise, so that the fabric lies on the left of every ring's direction.
    `curves` holds the drawn curve of each ring, in the order of `geometry.rings.rings_of(shape)`;
    it is empty where the rings were remade (a crossing was resolved, say).
    """

    shape: MultiPolygon
    curves: tuple[Curve, ...] = ()


@dataclass(frozen=True)
class Thread:
    """A sewing thread: colour as #rrggbb and, if known, its name."""

    colour: str
    name: str = ""


@dataclass(frozen=True)
class Fabric:
    """A named fabric and how it may be turned on a sheet."""

    name: str
    colour: str = "#808080"
    turn: str = "any"
    grain_degrees: float | None = None


@dataclass(frozen=True, eq=False)
class Piece:
    """One piece of fabric as drawn. `source` is its element's id, `origin` its template if any."""

    label: str
    source: str
    outline: Outline
    fabric: str
    colour: str
    thread: Thread
    settings: Settings
    origin: Origin | None = None


@dataclass(frozen=True, eq=False)
class Detail:
    """Plain embroidery on top of the fabric. `style` is run, there-and-back, line or spot; a spot
    has a `shape`, all others have `lines`. `under` are the labels of the pieces drawn after it."""

    label: str
    source: str
    style: str
    lines: tuple[EdgeRun, ...]
    shape: MultiPolygon
    thread: Thread
    settings: Settings
    under: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Frame:
    """The block's finished rectangle (its sides are the seam lines) and its seam allowance, mm."""

    left: float
    top: float
    width: float
    height: float
    seam_allowance: float

    @property
    def right(self) -> float:
        """x of the right seam line, in mm."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """y of the lower seam line, in mm."""
        return self.top + self.height


@dataclass(frozen=True, eq=False)
class Block:
    """A block as read from its drawing; `pieces` and `details`, each in stacking order.

    `centre` is the origin of its stitch files, in mm on the page. `frame` is None where nobody has
    said how large the finished block is.
    """

    name: str
    centre: tuple[float, float]
    frame: Frame | None
    background: str
    pieces: tuple[Piece, ...]
    fabrics: tuple[Fabric, ...]
    settings: Settings
    details: tuple[Detail, ...] = ()

    @property
    def parts(self) -> tuple[Piece | Detail, ...]:
        """Everything that is sewn and bears a label: the pieces, then the details."""
        return (*self.pieces, *self.details)


@dataclass(frozen=True, eq=False)
class EdgeRun:
    """A stretch of a piece's outline that gets an edge stitch, or a line of a detail.

    `points` is an (n, 2) array of mm with the fabric on the left; a closed run does not repeat its
    first point. `ring` is the index of the outline's ring, or of the detail's line, it lies on.
    """

    points: np.ndarray
    closed: bool
    ring: int = 0


@dataclass(frozen=True, eq=False)
class LaidPiece:
    """A piece in its place among the others.

    `whole` is its outline, carried on through the seam allowance where it reaches the seam line;
    `raw_edge` is the block with its seam allowance if it does, else empty. `cut` is the fabric as
    it is cut: `whole` with the underlap. `above` is the union of the pieces above that come near
    its edge (empty if none); `edges` what is finished with a stitch; `barred` where no edge stitch
    may go, because it would lie on top of a piece above (empty unless edges are sewn last).
    Nothing is sewn or cut of a `hidden` piece.
    """

    piece: Piece
    whole: MultiPolygon
    raw_edge: BaseGeometry
    cut: MultiPolygon
    above: BaseGeometry
    barred: BaseGeometry
    edges: tuple[EdgeRun, ...]
    hidden: bool

    @property
    def part(self) -> Piece:
        """The piece."""
        return self.piece


@dataclass(frozen=True, eq=False)
class LaidDetail:
    """What is sewn of a detail in its place among the pieces; nothing of a `hidden` one."""

    detail: Detail
    lines: tuple[EdgeRun, ...]
    shape: MultiPolygon
    hidden: bool

    @property
    def part(self) -> Detail:
        """The detail."""
        return self.detail


Laid = LaidPiece | LaidDetail


@dataclass(frozen=True, eq=False)
class Step:
    """One group of stitches. Every point of its paths is one needle penetration, in order.

    `paths` are (n, 2) arrays of mm; `links[i]` tells how the needle leaves `paths[i]`. `pause` is
    what the machine stops for after the step, "" for nothing. `digest` and `made` are the
    fingerprints described in docs/tagged-svg.md; `edited` says that the stitches no longer fit
    `made`. `foreign` holds attributes that are not ours, to be written back.
    """

    kind: StepKind
    piece: str
    thread: Thread
    paths: tuple[np.ndarray, ...]
    links: tuple[Link, ...]
    pause: str = ""
    source: str = ""
    digest: str = ""
    made: str = ""
    edited: bool = False
    foreign: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, eq=False)
class ThreadBlock:
    """What is sewn between two stops of the machine, in one thread.

    `runs` are (n, 2) arrays of mm, each sewn without a trim; `pause` is what the user does after
    the block ("" when only the thread changes, or at the end).
    """

    thread: Thread
    runs: tuple[np.ndarray, ...]
    pause: str = ""


@dataclass(frozen=True, eq=False)
class Plan:
    """Everything the machine is told: the thread blocks in order, around `centre` (mm)."""

    name: str
    centre: tuple[float, float]
    blocks: tuple[ThreadBlock, ...]

    @property
    def stitch_count(self) -> int:
        """The number of needle penetrations."""
        return sum(len(run) for block in self.blocks for run in block.runs)


@dataclass(frozen=True, eq=False)
class CutLine:
    """One line to cut: an outline or what the method makes of it, with its fabric and grain.

    `kind` is outline, allowance, patch or template; `curves` are closed, outer rings first; `flat`
    (where a template's fabric is not turned) and `clips` (into an allowance) (n, 2) lines in mm."""

    piece: str
    fabric: str
    kind: str
    curves: tuple[Curve, ...]
    grain_degrees: float | None = None
    turn: str = "any"
    flat: tuple[np.ndarray, ...] = ()
    clips: tuple[np.ndarray, ...] = ()


EMPTY = Polygon()
"""The empty shape: no piece above, nothing hidden."""
