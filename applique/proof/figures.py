"""The figures of a piece and of a block, and how they are told to a script."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from applique.model import StepKind, Thread
from applique.proof.blanket import BlanketProof, Worst
from applique.proof.cover import Cover
from applique.proof.crowding import CIRCLE_MM, Crowding
from applique.proof.layers import ThreadLayers
from applique.proof.lengths import Lengths, bin_names
from applique.proof.thread import Kind, ThreadUse
from applique.proof.time import SewingTime

Place = tuple[float, float]


@dataclass(frozen=True)
class StepFigures:
    """One step of a piece: its stitch lengths, ties aside."""

    kind: StepKind
    lengths: Lengths

    def as_dict(self) -> dict[str, Any]:
        """For a JSON report."""
        return {"step": self.kind, **lengths_dict(self.lengths)}


@dataclass(frozen=True)
class PieceProof:
    """What is sewn of a piece or detail.

    `edge` is its edge style, "detail" with its style, or "" where it is no longer in the drawing.
    `crowding` is that of its edge and underlay, ties aside; `cover` is told of satins, `blanket` of
    blanket stitches. `loose_ends` are the places where a thread starts or ends without a tie. All
    lengths are mm, places mm on the page; `minutes` is the machine's time for its stitches.
    """

    label: str
    edge: str
    steps: tuple[StepFigures, ...]
    crowding: Crowding | None
    cover: Cover | None
    blanket: BlanketProof | None
    threads: int
    loose_ends: tuple[Place, ...]
    thread: ThreadUse
    minutes: float

    @property
    def edge_lengths(self) -> Lengths | None:
        """The stitch lengths of the edge, or of the detail; None if it has no such step."""
        shown = [step.lengths for step in self.steps if step.kind in ("edge", "detail")]
        return shown[0] if shown else None

    def as_dict(self) -> dict[str, Any]:
        """For a JSON report."""
        return {
            "piece": self.label,
            "edge": self.edge,
            "steps": [step.as_dict() for step in self.steps],
            "crowding": None if self.crowding is None else _crowding_dict(self.crowding),
            "cover": None if self.cover is None else _cover_dict(self.cover),
            "blanket": None if self.blanket is None else _blanket_dict(self.blanket),
            "threads": self.threads,
            "loose_ends_mm": [_place(place) for place in self.loose_ends],
            "thread": _use_dict(self.thread),
            "minutes": round(self.minutes, 2),
        }


@dataclass(frozen=True)
class SpoolUse:
    """What one thread takes; tails aside."""

    thread: Thread
    use: ThreadUse


@dataclass(frozen=True)
class ThreadRatio:
    """Needle and bobbin thread together, tails aside, for each stitch ("embroidery") or each mm
    that is sewn ("run"), and whether it lies about the published figure (`thread.BANDS`)."""

    kind: Kind
    mm: float
    likely: bool


@dataclass(frozen=True)
class BlockProof:
    """What is sewn of a block. `lengths` are those of all stitches but ties."""

    name: str
    pieces: tuple[PieceProof, ...]
    stitches: int
    lengths: Lengths
    layers: ThreadLayers
    spools: tuple[SpoolUse, ...]
    tails: ThreadUse
    ratio: ThreadRatio
    time: SewingTime

    @property
    def thread(self) -> ThreadUse:
        """All threads together, tails included."""
        return sum((spool.use for spool in self.spools), self.tails)

    @property
    def most_crowded(self) -> Crowding:
        """The most crowded place within one piece's edge and underlay."""
        found = [piece.crowding for piece in self.pieces if piece.crowding is not None]
        return max(found, key=lambda crowding: crowding.most, default=Crowding(0, None))

    @property
    def least_covered(self) -> float | None:
        """The share of its band that the worst satin covers; None if there is no satin."""
        shares = [piece.cover.covered for piece in self.pieces if piece.cover is not None]
        return min(shares, default=None)

    def as_dict(self) -> dict[str, Any]:
        """For a JSON report."""
        return {
            "block": self.name,
            "pieces": [piece.as_dict() for piece in self.pieces],
            "stitches": self.stitches,
            "lengths": lengths_dict(self.lengths),
            "layers": {
                "most": round(self.layers.most, 2),
                "place_mm": _place(self.layers.place),
                "pieces": list(self.layers.pieces),
            },
            "threads": [
                {"colour": spool.thread.colour, "name": spool.thread.name, **_use_dict(spool.use)}
                for spool in self.spools
            ],
            "tails": _use_dict(self.tails),
            "thread_ratio": {
                "mm": round(self.ratio.mm, 2),
                "per": "stitch" if self.ratio.kind == "embroidery" else "mm sewn",
                "likely": self.ratio.likely,
            },
            "time": _time_dict(self.time),
        }


def lengths_dict(lengths: Lengths) -> dict[str, Any]:
    """Stitch lengths for a JSON report."""
    return {
        "stitches": lengths.stitches,
        "shortest_mm": round(lengths.shortest_mm, 3),
        "shortest_place_mm": _place(lengths.shortest_place),
        "longest_mm": round(lengths.longest_mm, 3),
        "longest_place_mm": _place(lengths.longest_place),
        "histogram_mm": dict(zip(bin_names(), lengths.histogram, strict=True)),
    }


def _crowding_dict(crowding: Crowding) -> dict[str, Any]:
    return {"most": crowding.most, "circle_mm": CIRCLE_MM, "place_mm": _place(crowding.place)}


def _cover_dict(cover: Cover) -> dict[str, Any]:
    return {
        "band_mm2": round(cover.band_mm2, 2),
        "covered_percent": _percent(cover.covered),
        "largest_gap_mm2": round(cover.largest_gap_mm2, 4),
        "gap_place_mm": _place(cover.gap_place),
        "overspill_percent": _percent(cover.overspill),
        "largest_overspill_mm2": round(cover.largest_over_mm2, 4),
        "overspill_place_mm": _place(cover.over_place),
        "rail_short_mm": round(cover.rail_short_mm, 3),
        "rail_place_mm": _place(cover.rail_place),
    }


def _blanket_dict(blanket: BlanketProof) -> dict[str, Any]:
    places = ("bare_corners", "crossing", "off_fabric", "pivot_inside", "uneven_strokes")
    return {
        "bites": blanket.bites,
        "pitches_mm": [[round(pitch, 3) for pitch in side] for side in blanket.pitches_mm],
        "unequal_percent": _worst_dict(blanket.unequal_percent),
        "off_setting_percent": _worst_dict(blanket.off_setting_percent),
        "askew_degrees": _worst_dict(blanket.askew_degrees),
        **{f"{name}_mm": [_place(place) for place in getattr(blanket, name)] for name in places},
    }


def _worst_dict(worst: Worst) -> dict[str, Any]:
    return {"value": round(worst.value, 2), "place_mm": _place(worst.place)}


def _use_dict(use: ThreadUse) -> dict[str, Any]:
    needle, bobbin = use.needle_mm / 1000, use.bobbin_mm / 1000
    return {"needle_m": round(needle, 2), "bobbin_m": round(bobbin, 2)}


def _time_dict(time: SewingTime) -> dict[str, Any]:
    told = {"machine_minutes": time.machine_minutes, **asdict(time)}
    return {name: round(value, 2) for name, value in told.items()}


def _percent(share: float) -> float:
    return round(100 * share, 3)


def _place(place: Place | None) -> list[float] | None:
    return None if place is None else [round(value, 3) for value in place]
