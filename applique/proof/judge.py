"""What of the figures falls short of its goal, as findings with the piece, the place and a remedy.

One finding a piece and kind, about the worst place. The goals are those of docs/proof.md.
"""

from __future__ import annotations

from collections.abc import Iterator

from applique.proof.blanket import BlanketProof, Worst
from applique.proof.cover import Cover
from applique.proof.figures import BlockProof, PieceProof, ThreadRatio
from applique.proof.thread import BANDS
from applique.report import Finding, counted, note, warning

COVERED = 0.999
"""The share of the visible band that a satin should have under thread."""

BARE = 0.99
"""A satin that covers less than this will show it."""

OVERSPILL = 0.001
"""Thread beyond the band, as a share of the band's area."""

SEEN_MM2 = 0.5
"""A bare place, or thread gone astray, as large as this is seen at any length of the edge: as much
as 1.3 mm of a pass of thread (from memory)."""

CROWDED = 6
"""Needle points in a circle of 1 mm (docs/sources.md, needle density)."""

SATIN_MM = (0.5, 7.0)
"""The shortest and the longest stitch of a satin."""

RAIL_SHORT_MM = 0.1
"""By how much the outer side of a satin may stay behind: one step of the frame."""

UNEQUAL_PERCENT = 1.0
"""The most that two pitches of one side of a blanket stitch may differ."""

OFF_SETTING_PERCENT = 20.0
"""The most that a pitch may differ from its setting, for a whole number of them to fit a side."""

ASKEW_DEGREES = 5.0
"""The most that a bite may lean from square, or from the bisector of its corner."""

LAYERS = 3.0
"""More layers of thread than this are flagged in the trade (Printwear, December 2016, p. 31)."""

_WRITTEN_MM = 0.001
"""Coordinates are written to this."""

_ANEW = "have the edge made anew with Make Layers"

# Code, figure of a BlanketProof, goal, and what is said.
_BLANKET_FIGURES = (
    ("pitch", "unequal_percent", UNEQUAL_PERCENT, "two pitches of one side differ by {:.1f} %"),
    (
        "off-setting",
        "off_setting_percent",
        OFF_SETTING_PERCENT,
        "a pitch is {:.0f} % off the set one",
    ),
    ("askew", "askew_degrees", ASKEW_DEGREES, "a bite leans by {:.0f} degrees"),
)
_BLANKET_PLACES = (
    ("bare-corner", "bare_corners", "corner has no bite", "corners have no bite"),
    ("crossing", "crossing", "bite crosses another", "bites cross others"),
    ("off-fabric", "off_fabric", "bite runs off the fabric", "bites run off the fabric"),
    ("pivot", "pivot_inside", "bite begins in the fabric", "bites begin in the fabric"),
    ("strokes", "uneven_strokes", "bite is sewn oddly often", "bites are sewn oddly often"),
)


def judge(block: BlockProof) -> list[Finding]:
    """The findings about a block and its pieces, in the order of the pieces."""
    found = [finding for piece in block.pieces for finding in judge_piece(piece)]
    if block.layers.most > LAYERS:
        met = ", ".join(block.layers.pieces)
        text = (
            f"{block.layers.most:.1f} layers of thread lie over one another; "
            "move an edge or a corner away, or make an edge narrower"
        )
        found.append(note("layers", met, text, block.layers.place))
    if not block.ratio.likely:
        found.append(note("thread", "", _unlikely(block.ratio)))
    return found


def _unlikely(ratio: ThreadRatio) -> str:
    band = BANDS[ratio.kind]
    each = "a stitch" if ratio.kind == "embroidery" else "for each mm sewn"
    return (
        f"the block takes {ratio.mm:.1f} mm of thread {each}, where {band.low:g} to "
        f"{band.high:g} mm are usual; if no very wide or very short stitches explain that, "
        "look the steps over"
    )


def judge_piece(piece: PieceProof) -> list[Finding]:
    """The findings about one piece."""
    found: list[Finding] = []
    if piece.cover is not None:
        found.extend(_cover_findings(piece.label, piece.cover))
    if piece.crowding is not None and piece.crowding.most > CROWDED:
        text = (
            f"the needle goes in {piece.crowding.most} times within 1 mm, where {CROWDED} are "
            "plenty; round off the corner or notch there, or give it a larger edge-spacing"
        )
        found.append(warning("crowded", piece.label, text, piece.crowding.place))
    if piece.edge == "satin":
        found.extend(_length_findings(piece))
    if piece.blanket is not None:
        found.extend(_blanket_findings(piece.label, piece.blanket))
    if piece.loose_ends:
        number = counted(len(piece.loose_ends), "end", "ends")
        text = f"{number} of its thread without a tie will come undone; have the step made anew"
        found.append(warning("tie", piece.label, text, piece.loose_ends[0]))
    return found


def _cover_findings(label: str, cover: Cover) -> Iterator[Finding]:
    gaping = cover.largest_gap_mm2 > SEEN_MM2
    if cover.covered < COVERED or gaping:
        say = warning if cover.covered < BARE or gaping else note
        text = (
            f"its satin covers {100 * cover.covered:.2f} % of what shows and leaves "
            f"{cover.largest_gap_mm2:.2f} mm2 bare; give it a smaller edge-spacing, or {_ANEW}"
        )
        yield say("bare", label, text, cover.gap_place)
    if cover.overspill > OVERSPILL or cover.largest_over_mm2 > SEEN_MM2:
        text = (
            f"its satin lies beyond where it belongs by {100 * cover.overspill:.2f} % of its band, "
            f"at most by {cover.largest_over_mm2:.2f} mm2 in one place; {_ANEW}"
        )
        yield warning("overspill", label, text, cover.over_place)
    if cover.rail_short_mm > RAIL_SHORT_MM:
        text = f"the outer side of its satin stays {cover.rail_short_mm:.2f} mm short; {_ANEW}"
        yield warning("rail", label, text, cover.rail_place)


def _length_findings(piece: PieceProof) -> Iterator[Finding]:
    """The stitches of a satin that are too short or too long."""
    edges = [step.lengths for step in piece.steps if step.kind == "edge" and step.lengths.stitches]
    shortest, longest = SATIN_MM
    for edge in edges:
        if edge.shortest_mm < shortest - _WRITTEN_MM:
            text = (
                f"a stitch of its satin is only {edge.shortest_mm:.2f} mm long, where the thread "
                f"may knot; take a node out, or {_ANEW}"
            )
            yield warning("satin-short", piece.label, text, edge.shortest_place)
        if edge.longest_mm > longest + _WRITTEN_MM:
            text = (
                f"a stitch of its satin is {edge.longest_mm:.1f} mm long and may snag; make the "
                f"edge narrower than {longest:g} mm, or {_ANEW}"
            )
            yield warning("satin-long", piece.label, text, edge.longest_place)


def _blanket_findings(label: str, blanket: BlanketProof) -> Iterator[Finding]:
    for code, figure, goal, words in _BLANKET_FIGURES:
        worst: Worst = getattr(blanket, figure)
        if worst.value > goal:
            text = f"{words.format(worst.value)}, where {goal:g} is the most; {_ANEW}"
            yield warning(code, label, text, worst.place)
    for code, figure, one, many in _BLANKET_PLACES:
        places = getattr(blanket, figure)
        if places:
            text = f"{counted(len(places), one, many)}; make the edge smaller there, or {_ANEW}"
            yield warning(code, label, text, places[0])
