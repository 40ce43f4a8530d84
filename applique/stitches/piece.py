"""All the stitches of one piece, step by step."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from applique.model import LaidPiece, Link, Step, StepKind
from applique.report import Finding, warning
from applique.stitches.blanket import blanket
from applique.stitches.line import SewnLine
from applique.stitches.placement import placement
from applique.stitches.satin import satin
from applique.stitches.straight import straight
from applique.stitches.tackdown import tack, tack_style, trim_line
from applique.stitches.ties import tied
from applique.stitches.underlay import underlay, underlay_styles
from applique.stitches.zigzag import zigzag

EdgeStyle = Callable[[LaidPiece], list[SewnLine]]

EDGE_STYLES: Mapping[str, EdgeStyle] = {
    "satin": satin,
    "blanket": blanket,
    "zigzag": zigzag,
    "straight": straight,
}
"""Every edge style by its name in the settings. docs/new-edge.md tells how to add one."""

JOINED_MM = 4.0
"""Lines of one piece whose ends lie this near are sewn on without a trim: one stitch."""

NEAREST_MM = 0.5
"""From the end of one line to the start of the next no stitch is shorter: the lower bound of a
satin's."""

Lines = list[tuple[StepKind, SewnLine]]


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
    steps = [step for group in groups for step in _steps(group, laid)]
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
    lines: Lines = [("underlay", line) for line in underlay(laid)]
    return lines + [("edge", line) for line in sewn]


def _too_narrow(laid: LaidPiece) -> Finding:
    x, y = laid.edges[0].points[0]
    text = (
        f"too narrow for its {laid.piece.settings.edge} edge, which is left out; "
        "choose a smaller edge-inset or another edge"
    )
    return warning("narrow", laid.piece.label, text, (float(x), float(y)))


def _steps(lines: Lines, laid: LaidPiece) -> list[Step]:
    """Lines as steps, one a kind, tied wherever the thread starts or ends."""
    if not lines:
        return []
    length = laid.piece.settings.tie_length_mm
    joined = [
        math.dist(here.points[-1], after.points[0]) <= JOINED_MM
        for (_, here), (_, after) in itertools.pairwise(lines)
    ]
    starts = [True, *(not run for run in joined)]
    ends = [*(not run for run in joined), True]
    steps: list[Step] = []
    paths: list[np.ndarray] = []
    links: list[Link] = []
    for k, (kind, line) in enumerate(lines):
        start_line = line.start_line if starts[k] else None
        end_line = line.end_line if ends[k] else None
        points = line.points if ends[k] else _up_to(line.points, lines[k + 1][1].points[0])
        paths.append(tied(points, start_line, end_line, length))
        links.append("trim" if ends[k] else "run")
        if k + 1 == len(lines) or lines[k + 1][0] != kind:
            steps.append(_step(kind, laid, paths, links))
            paths, links = [], []
    return steps


def _up_to(points: np.ndarray, following: np.ndarray) -> np.ndarray:
    """Points (n, 2) without a last one that the place where the thread goes on is too near to."""
    too_near = len(points) > 2 and math.dist(points[-1], following) < NEAREST_MM
    return points[:-1] if too_near else points


def _step(
    kind: StepKind, laid: LaidPiece, paths: Sequence[np.ndarray], links: Sequence[Link]
) -> Step:
    piece = laid.piece
    return Step(
        kind=kind,
        piece=piece.label,
        thread=piece.thread,
        paths=tuple(paths),
        links=tuple(links),
        source=piece.source,
    )
