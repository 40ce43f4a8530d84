"""Path data read as curves, curves written as path data.

Grammar and arc formulas: SVG 2, chapter 9 and implementation notes B.2.4. Curves stay in the
path's own units; who calls moves them to millimetres.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np

from applique.geometry.curves import quadratic
from applique.model import Curve
from applique.svg.arcs import FLATTEST, arc_segments
from applique.units import NUMBER, compact, read_number

_COMMAND = re.compile(r"\s*([MmZzLlHhVvCcSsQqTtAa])")
_NUMBER = re.compile(rf"[\s,]*({NUMBER})")
_FLAG = re.compile(r"[\s,]*([01])")
_ARGUMENTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}

MOST_SEGMENTS = 100_000
"""Of one path. All round a block of 250 mm that is a node in every hundredth of a millimetre, and
each takes its time in what follows."""

_ARC_COUNTS = 8
"""An arc becomes so many cubics at most."""

CLOSED_WITHIN = 1e-6
"""A sub-path whose end is this near to its start, as a share of its size, is closed."""


def parse_path(data: str) -> list[Curve]:
    """Read path data as its sub-paths, in the path's own units.

    Sub-paths that only move are left out. Raises ValueError saying what can't be read.
    """
    pen = _Pen()
    count = 0
    for command, numbers in _commands(data):
        count += _ARC_COUNTS if command in "Aa" else 1
        if count > MOST_SEGMENTS:
            raise ValueError(f"its path data have more than {MOST_SEGMENTS} segments")
        pen.draw(command, numbers)
    pen.finish()
    return pen.curves


def write_path(curves: list[Curve] | tuple[Curve, ...], digits: int = 4) -> str:
    """Closed or open curves as absolute path data with M, L, C and Z."""
    return " ".join(_written(curve, digits) for curve in curves)


def write_points(points: np.ndarray, digits: int = 4) -> str:
    """An open polyline (n, 2) as `M x,y L x,y ...`, every point written."""
    # Adding zero turns a minus zero into a plain one.
    rounded = (np.round(points, digits) + 0.0).tolist()
    data = "M" + " L".join([f"{x},{y}" for x, y in rounded]) + " "
    return data.replace(".0,", ",").replace(".0 ", " ").rstrip()


def _written(curve: Curve, digits: int) -> str:
    def pair(point: np.ndarray) -> str:
        return f"{compact(point[0], digits)},{compact(point[1], digits)}"

    parts = ["M" + pair(curve.segments[0, 0])]
    last = len(curve.segments) - 1
    for k, (segment, straight) in enumerate(zip(curve.segments, curve.straight, strict=True)):
        if not straight:
            parts.append("C" + " ".join(pair(point) for point in segment[1:]))
        elif not (curve.closed and k == last):
            parts.append("L" + pair(segment[3]))
    if curve.closed:
        parts.append("Z")
    return " ".join(parts)


def _commands(data: str) -> Iterator[tuple[str, list[float]]]:
    """Each command with one set of arguments; repeated sets come as repeated commands."""
    position, text = 0, data.strip()
    first = True
    while position < len(text):
        match = _COMMAND.match(text, position)
        if match is None:
            raise ValueError(_unreadable(text, position))
        command, position = match[1], match.end()
        if first and command not in "Mm":
            raise ValueError("its path data do not start with a move")
        first = False
        if command in "Zz":
            yield command, []
            continue
        numbers, position = _arguments(text, position, command)
        yield command, numbers
        following = {"M": "L", "m": "l"}.get(command, command)
        while _NUMBER.match(text, position):
            numbers, position = _arguments(text, position, following)
            yield following, numbers


def _arguments(text: str, position: int, command: str) -> tuple[list[float], int]:
    numbers = []
    for k in range(_ARGUMENTS[command.upper()]):
        pattern = _FLAG if command in "Aa" and k in (3, 4) else _NUMBER
        match = pattern.match(text, position)
        if match is None:
            raise ValueError(_unreadable(text, position))
        numbers.append(float(match[1]) if pattern is _FLAG else _coordinate(match[1]))
        position = match.end()
    return numbers, position


def _coordinate(text: str) -> float:
    try:
        return read_number(text)
    except ValueError as problem:
        raise ValueError(f"its path data can't be read: {problem}") from None


def _unreadable(text: str, position: int) -> str:
    rest = text[position:].strip(" ,\t\r\n")
    if not rest:
        return "its path data end in the middle of a command"
    return f"its path data can't be read from '{rest[:20]}' on"


class _Pen:
    """Draws commands into curves: the current point, the sub-path so far, the last control."""

    def __init__(self) -> None:
        self.curves: list[Curve] = []
        self._here = np.zeros(2)
        self._start = np.zeros(2)
        self._segments: list[np.ndarray] = []
        self._straight: list[bool] = []
        self._control: np.ndarray | None = None
        self._control_of = ""

    def draw(self, command: str, numbers: list[float]) -> None:
        kind = command.upper()
        base = self._here if command.islower() else np.zeros(2)
        if kind == "Z":
            self._close()
        elif kind == "M":
            self.finish()
            self._here = self._start = base + numbers
        elif kind == "L":
            self._line(base + numbers)
        elif kind == "H":
            self._line(np.array([base[0] + numbers[0], self._here[1]]))
        elif kind == "V":
            self._line(np.array([self._here[0], base[1] + numbers[0]]))
        elif kind == "A":
            self._arc(numbers[:5], base + numbers[5:])
        else:
            self._bend(kind, base + np.reshape(numbers, (-1, 2)))
            return
        self._control = None

    def finish(self) -> None:
        """End the sub-path where the pen stands, without closing it."""
        if self._segments:
            size = np.ptp(np.array(self._segments).reshape(-1, 2), axis=0).max()
            if np.abs(self._here - self._start).max() <= CLOSED_WITHIN * size:
                self._segments[-1][3] = self._start
                self._keep(closed=True)
            else:
                self._keep(closed=False)

    def _close(self) -> None:
        if np.any(self._here != self._start):
            self._line(self._start)
        if self._segments:
            self._keep(closed=True)
        self._here = self._start

    def _keep(self, closed: bool) -> None:
        self.curves.append(Curve(np.array(self._segments), np.array(self._straight), closed))
        self._segments, self._straight = [], []

    def _line(self, end: np.ndarray) -> None:
        third = (end - self._here) / 3
        self._add(np.array([self._here, self._here + third, end - third, end]), straight=True)

    def _bend(self, kind: str, points: np.ndarray) -> None:
        """A cubic or quadratic; S and T mirror the control of a curve of their own kind."""
        family = "CS" if kind in "CS" else "QT"
        if kind in "ST":
            mirrored = self._here
            if self._control is not None and self._control_of == family:
                mirrored = 2 * self._here - self._control
            points = np.vstack([mirrored, points])
        if family == "CS":
            segment = np.vstack([self._here, points])
        else:
            segment = quadratic(self._here, points[0], points[1])
        self._add(segment, straight=False)
        self._control, self._control_of = points[-2], family

    def _arc(self, shape: list[float], end: np.ndarray) -> None:
        if np.all(end == self._here):
            return
        least, largest = sorted((abs(shape[0]), abs(shape[1])))
        if least <= FLATTEST * largest:
            self._line(end)
            return
        for segment in arc_segments(self._here, shape, end):
            self._add(segment, straight=False)

    def _add(self, segment: np.ndarray, straight: bool) -> None:
        self._segments.append(segment)
        self._straight.append(straight)
        self._here = segment[3]
