"""All the stitches of one piece, step by step."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from applique.model import LaidPiece, Step, StepKind
from applique.report import Finding, warning
from applique.stitches.blanket import blanket
from applique.stitches.joins import joined_lines
from applique.stitches.line import SewnLine
from applique.stitches.placement import placement
from applique.stitches.satin import satin
from applique.stitches.steps import Lines, steps_of
from applique.stitches.straight import straight
from applique.stitches.tackdown import tack, tack_style, trim_line
from applique.stitches.underlay import underlay, underlay_styles
from applique.stitches.yielding import yielding
from applique.stitches.zigzag import zigzag

EdgeStyle = Callable[[LaidPiece], list[SewnLine]]

EDGE_STYLES: Mapping[str, EdgeStyle] = {
    "satin": satin,
    "blanket": blanket,
    "zigzag": zigzag,
    "straight": straight,
}
"""Every edge style by its name in the settings. docs/new-edge.md tells how to add one."""


def sew(laid: LaidPiece, edges_last: bool = False) -> tuple[tuple[Step, ...], tuple[Finding, ...]]:
    """The steps of a piece in sewing order, in its own thread, without pauses.

    Nothing is sewn for a piece that is entirely hidden. Where edges are sewn last, the edge does
    not follow the tack-down at once, so both are tied.
    """
    if laid.hidden:
        return (), ()
    findings: list[Finding] = []
    first: Lines = [("placement", line) for line in placement(laid)]
    groups = [first]
    if laid.piece.settings.method == "cut-in-hoop":
        groups.append([("trim-line", line) for line in trim_line(laid)])
    held: Lines = [("tack", line) for line in tack(laid)]
    edge = _edge(laid, findings)
    groups.extend([held, edge] if edges_last else [held + edge])
    steps = [
        step
        for group in groups
        for step in steps_of(group, joined_lines(group, laid, edges_last), laid.piece)
    ]
    return tuple(steps), tuple(findings)


def planned_kinds(laid: LaidPiece) -> set[StepKind]:
    """The kinds of steps that a piece's settings ask for. In a piece too narrow for it a step may
    come to nothing."""
    if laid.hidden:
        return set()
    settings = laid.piece.settings
    planned: dict[StepKind, bool] = {
        "placement": True,
        "trim-line": settings.method == "cut-in-hoop",
        "tack": tack_style(settings) != "none",
        "underlay": bool(laid.edges) and bool(underlay_styles(settings)),
        "edge": bool(laid.edges),
    }
    return {kind for kind, wanted in planned.items() if wanted}


def _edge(laid: LaidPiece, findings: list[Finding]) -> Lines:
    """Underlay and edge."""
    if not laid.edges:
        return []
    sewn = EDGE_STYLES[laid.piece.settings.edge](laid)
    if not sewn:
        findings.append(_too_narrow(laid))
    lines: Lines = [("underlay", line) for line in yielding(underlay(laid), sewn)]
    return lines + [("edge", line) for line in sewn]


def _too_narrow(laid: LaidPiece) -> Finding:
    x, y = laid.edges[0].points[0]
    text = (
        f"too narrow for its {laid.piece.settings.edge} edge, which is left out; "
        "choose a smaller edge-inset or another edge"
    )
    return warning("narrow", laid.piece.label, text, (float(x), float(y)))
