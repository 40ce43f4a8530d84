"""Every stitch setting: its name, range, unit, default and help, in this one place.

Command-line flags, the editor's dialogs and docs/settings.md are generated from this table. A
setting can be given per document, per piece (`ap:edge-width="3.5"`) and on the command line; the
nearest wins, in that order. Some defaults depend on the method and the edge (or on the piece's
size): they are *automatic* until somebody gives a value, and `settings.resolve` fills them in.

Sources of the defaults: docs/sources.md. All lengths are millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass

from applique.defaults import MOST_OUTSIDE_MM
from applique.spec import angle, choice, count, length

METHODS = ("cut-first", "cut-in-hoop", "turned")
EDGES = ("satin", "blanket", "zigzag", "straight")
TACKS = ("auto", "none", "run", "zigzag")
UNDERLAYS = ("auto", "none", "centre", "edge", "zigzag")
ORDERS = ("piece", "fewest")
THREAD_WEIGHTS = ("30", "40", "50", "60")
STROKES = ("single", "double")
DETAILS = ("none", "auto", "run", "there-and-back", "line", "spot")
HIDDEN_FABRIC = ("keep", "cut-away")
DETAIL_GROUP = "Detail"


@dataclass(frozen=True, kw_only=True)
class SettingsTable:
    """Every setting as a field. What a value must be is told by the field's `Spec`."""

    method: str = choice(
        "cut-first",
        METHODS,
        "Piece and edge",
        "How the fabric is prepared: cut to the outline before sewing, laid as a patch and trimmed "
        "in the hoop, or with its edge turned under.",
    )
    edge: str = choice("satin", EDGES, "Piece and edge", "The stitch that finishes the edge.")
    thread_weight: str = choice(
        "40", THREAD_WEIGHTS, "Piece and edge", "Thread weight; it sets the satin's spacing."
    )
    edge_width_mm: float = length(
        None,
        0.8,
        12.0,
        "Piece and edge",
        "Width of the satin or zigzag, or depth of the blanket's bite.",
    )
    edge_outside_mm: float = length(
        None,
        0.0,
        MOST_OUTSIDE_MM,
        "Piece and edge",
        "How much of the width lies outside the outline.",
    )
    edge_spacing_mm: float = length(
        None,
        0.2,
        7.0,
        "Piece and edge",
        "From one stitch to the next along the longer side of the edge: satin and zigzag pitch on "
        "one side, blanket pitch, stitch length of a straight edge.",
    )
    edge_inset_mm: float = length(
        None, 0.2, 6.0, "Piece and edge", "How far inside the outline a straight edge runs."
    )
    blanket_strokes: str = choice(
        "single", STROKES, "Piece and edge", "Sew a blanket stitch once, or all of it twice."
    )
    pull_compensation_mm: float = length(
        0.15,
        0.0,
        0.8,
        "Piece and edge",
        "Added to each side of a satin, which the thread draws narrower.",
    )
    corner_point_degrees: float = angle(
        30.0,
        15.0,
        75.0,
        "Piece and edge",
        "Satin corners that point outward and turn by this or more are sewn along both rails to "
        "their tip, slighter ones with a single stitch there.",
    )
    corner_cap_degrees: float = angle(
        96.0,
        45.0,
        130.0,
        "Piece and edge",
        "Satin corners that point outward and turn by more than this are cut off square, so that "
        "they grow no spike.",
    )
    underlay: str = choice(
        "auto",
        UNDERLAYS,
        "Piece and edge",
        "Stitches beneath a satin; a zigzag tack-down already counts as one.",
    )
    tie_length_mm: float = length(
        0.8, 0.4, 1.5, "Piece and edge", "Length of the small stitches that lock the thread's ends."
    )
    placement_length_mm: float = length(
        3.0, 1.5, 6.0, "Placement", "Stitch length of the placement line."
    )
    placement_inset_mm: float = length(
        None,
        0.0,
        3.0,
        "Placement",
        "How far inside the outline the placement line runs, so that an open edge hides it.",
    )
    tack: str = choice("auto", TACKS, "Tack-down", "The stitch that holds the fabric down.")
    tack_width_mm: float = length(2.0, 1.0, 4.0, "Tack-down", "Width of a zigzag tack-down.")
    tack_spacing_mm: float = length(
        2.0, 0.8, 4.0, "Tack-down", "Pitch of a zigzag tack-down on one side."
    )
    tack_length_mm: float = length(
        2.5, 1.0, 5.0, "Tack-down", "Stitch length of a running tack-down and of the trim line."
    )
    tack_inset_mm: float = length(
        None, 0.2, 6.0, "Tack-down", "How far inside the outline a running tack-down lies."
    )
    trim_inset_mm: float = length(
        1.5, 0.5, 3.0, "Trimming in the hoop", "How far inside the outline the trim line lies."
    )
    trim_margin_mm: float = length(
        2.0, 0.5, 3.0, "Trimming in the hoop", "The most fabric the scissors leave outside it."
    )
    patch_margin_mm: float = length(
        12.7, 5.0, 30.0, "Trimming in the hoop", "How much larger all round a patch is cut."
    )
    underlap_mm: float = length(
        4.7625, 1.0, 12.7, "Overlaps", "How far a fabric runs on beneath the piece above it."
    )
    touch_mm: float = length(
        0.3, 0.0, 1.0, "Overlaps", "Pieces nearer to each other than this count as overlapping."
    )
    run_on_mm: float = length(
        1.0, 0.0, 3.0, "Overlaps", "How far an edge runs on past the stitches that will cover it."
    )
    detail: str = choice(
        "none",
        DETAILS,
        DETAIL_GROUP,
        "Plain embroidery on top of the fabric: a running line, one sewn there and back, a narrow "
        "satin line, or a small spot filled with satin; auto takes a spot for filled closed shapes "
        "and there and back for lines. It goes to the selected elements only.",
        "element",
    )
    detail_length_mm: float = length(
        2.5, 1.0, 5.0, DETAIL_GROUP, "Stitch length of a running line of detail."
    )
    detail_width_mm: float = length(
        1.5, 1.0, 6.0, DETAIL_GROUP, "Width of a narrow satin line of detail."
    )
    detail_spacing_mm: float = length(
        None,
        0.2,
        1.0,
        DETAIL_GROUP,
        "From one stitch to the next along one side of a spot or a satin line; by thread weight.",
    )
    spot_size_mm: float = length(
        7.0,
        1.0,
        7.0,
        DETAIL_GROUP,
        "Closed shapes up to this size across their narrow way are small enough for a spot.",
    )
    turn_allowance_mm: float = length(
        6.35, 3.0, 12.7, "Cutting", "Fabric turned under along a turned edge."
    )
    hidden_fabric: str = choice(
        "keep",
        HIDDEN_FABRIC,
        "Cutting",
        "Keep the fabric that lies deep beneath the pieces above, or cut it away but for the "
        "underlap, so that layers stay soft. Only pieces cut to their outline before sewing get "
        "such windows, and none falls apart.",
        "document",
    )
    order: str = choice(
        "piece",
        ORDERS,
        "Order",
        "Sew piece by piece, or with the fewest colour blocks and pauses.",
        "document",
    )
    edges: str = choice(
        "with-piece",
        ("with-piece", "last"),
        "Order",
        "Finish each edge with its piece, or all edges after everything is laid and tacked.",
        "document",
    )
    loose_pieces: int = count(
        4, 1, 20, "Order", "The most pieces that may lie loose on the hoop at one time."
    )
    travel_limit_mm: float = length(
        30.0,
        0.0,
        100.0,
        "Order",
        "The longest gap that is run under a cover instead of trimmed.",
        "document",
    )
