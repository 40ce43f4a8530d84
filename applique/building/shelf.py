"""Steps remembered from one build to the next: a piece that has not changed is not sewn anew.

What is remembered is what sewing gave, before it was ordered and written, so that a block comes out
the same whether its steps were remembered or not.
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np

from applique.building.digest import digest_of_program
from applique.model import Laid, Step, Thread
from applique.renewal import sewn
from applique.report import Finding
from applique.svg.digest import digest_of

_FORMAT = "steps 1"
_NUMBERS = np.dtype("<f8")
"""How coordinates are written down: as they are, bit by bit."""

Sewn = tuple[tuple[Step, ...], tuple[Finding, ...]]


class StepShelf:
    """The steps of a block's pieces by what they were made of. What an earlier build left is read
    with distrust: if it is damaged, or of another version of the program, it is forgotten."""

    def __init__(self, kept: bytes | None) -> None:
        self._before = _read(kept) if kept else {}
        self._now: dict[str, tuple[Step, ...]] = {}

    def sew(self, laid: Laid, edges_last: bool) -> Sewn:
        """The steps of a piece or detail as it lies, remembered or sewn. One of which anything was
        noticed is not remembered, so that it is noticed each time."""
        part = laid.part
        key = f"{part.label} {part.source} {digest_of(laid)} {edges_last} {laid.hidden}"
        if key in self._before:
            self._now[key] = self._before[key]
            return self._now[key], ()
        steps, findings = sewn(laid, edges_last)
        if not findings:
            self._now[key] = tuple(steps)
        return steps, findings

    def as_bytes(self) -> bytes:
        """All steps that were asked for, to be remembered."""
        numbers: list[np.ndarray] = []
        pieces = {
            key: [_step_told(step, numbers) for step in steps] for key, steps in self._now.items()
        }
        head = json.dumps({"format": _FORMAT, "program": digest_of_program(), "pieces": pieces})
        return head.encode() + b"\n" + b"".join(each.tobytes() for each in numbers)


def _step_told(step: Step, numbers: list[np.ndarray]) -> dict[str, Any]:
    numbers.extend(np.ascontiguousarray(path, dtype=_NUMBERS) for path in step.paths)
    return {
        "kind": step.kind,
        "piece": step.piece,
        "thread": [step.thread.colour, step.thread.name],
        "lengths": [len(path) for path in step.paths],
        "links": list(step.links),
        "pause": step.pause,
        "source": step.source,
    }


def _read(kept: bytes) -> dict[str, tuple[Step, ...]]:
    """What was remembered; nothing if it is damaged."""
    head, _, body = kept.partition(b"\n")
    try:
        told = json.loads(head)
        if told["format"] != _FORMAT or told["program"] != digest_of_program():
            return {}
        points = np.frombuffer(body, dtype=_NUMBERS).reshape(-1, 2)
        lengths = [
            length
            for steps in told["pieces"].values()
            for step in steps
            for length in step["lengths"]
        ]
        if sum(lengths) != len(points) or min(lengths, default=1) < 1:
            return {}
        paths = iter(np.split(points, np.cumsum(lengths)[:-1]))
        return {
            key: tuple(_step(step, [next(paths) for _ in step["lengths"]]) for step in steps)
            for key, steps in told["pieces"].items()
        }
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}


def _step(told: dict[str, Any], paths: list[np.ndarray]) -> Step:
    colour, name = told["thread"]
    return Step(
        kind=told["kind"],
        piece=told["piece"],
        thread=Thread(colour, name),
        paths=tuple(path.astype(float) for path in paths),
        links=tuple(told["links"]),
        pause=told["pause"],
        source=told["source"],
    )
