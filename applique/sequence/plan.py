"""From steps to the plan: what is sewn between two stops, thread by thread."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from applique.geometry.walk import without_repeats
from applique.model import Plan, Step, Thread, ThreadBlock
from applique.report import Finding, counted, error, note

LONGEST_STITCH_MM = 12.1
"""The most a stitch may move on either axis: the reach of one tape record (docs/sources.md)."""

SHORTEST_STITCH_MM = 0.3
"""Shorter stitches tend to knot (common practice)."""


def plan_of(steps: Sequence[Step], name: str, centre: tuple[float, float]) -> Plan:
    """Steps in sewing order as thread blocks; a pause or another thread begins a new block.

    Paths linked by "run" become one run. Nothing is added, moved or left out, but for a penetration
    exactly where the one before it is.
    """
    blocks: list[ThreadBlock] = []
    runs: list[np.ndarray] = []
    open_run: list[np.ndarray] = []
    thread: Thread | None = None
    pause = ""
    for step in steps:
        if thread is not None and (pause or step.thread != thread):
            _close(open_run, runs)
            blocks.append(ThreadBlock(thread, tuple(runs), pause))
            runs, open_run = [], []
        thread = step.thread
        for path, link in zip(step.paths, step.links, strict=True):
            open_run.append(path)
            if link == "trim":
                _close(open_run, runs)
                open_run = []
        pause = step.pause
    if thread is not None:
        _close(open_run, runs)
        blocks.append(ThreadBlock(thread, tuple(runs), ""))
    return Plan(name, centre, tuple(block for block in blocks if block.runs))


def _close(open_run: list[np.ndarray], runs: list[np.ndarray]) -> None:
    if open_run:
        runs.append(without_repeats(np.vstack(open_run)))


def stitch_faults(steps: Sequence[Step]) -> list[Finding]:
    """Stitches too long for a machine (errors) or too short to sew well (notes), by step."""
    findings: list[Finding] = []
    before: np.ndarray | None = None
    for step, following in itertools.zip_longest(steps, steps[1:]):
        name = f"{step.piece} {step.kind}".strip()
        for path, link in zip(step.paths, step.links, strict=True):
            sewn = path if before is None else np.vstack([before, path])
            findings.extend(_path_faults(name, sewn))
            before = path[-1:] if link == "run" else None
        if step.pause or (following is not None and following.thread != step.thread):
            before = None
    return findings


def _path_faults(name: str, points: np.ndarray) -> list[Finding]:
    findings = []
    delta = np.diff(points, axis=0)
    longest = np.abs(delta).max(axis=1, initial=0.0)
    if longest.max(initial=0.0) > LONGEST_STITCH_MM:
        findings.append(_too_long(name, points[int(np.argmax(longest))], longest.max()))
    length = np.hypot(delta[:, 0], delta[:, 1])
    short = (length > 0) & (length < SHORTEST_STITCH_MM)
    if short.any():
        x, y = points[int(np.argmax(short))].tolist()
        number = counted(int(short.sum()), "stitch is", "stitches are")
        text = f"{number} shorter than {SHORTEST_STITCH_MM} mm"
        findings.append(note("short-stitch", name, text, (x, y)))
    return findings


def _too_long(name: str, place: np.ndarray, length: float) -> Finding:
    text = (
        f"a stitch of {length:.1f} mm is longer than the {LONGEST_STITCH_MM} mm a machine can sew; "
        "put a node into it, or have the step made anew"
    )
    return error("long-stitch", name, text, (float(place[0]), float(place[1])))
