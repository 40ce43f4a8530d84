"""Path data of stitches: every vertex is one needle penetration.

Written as absolute M and L. Read back as M, L, H, V and Z in both cases, because an editor rewrites
paths when they are dragged; a curve is no stitch.
"""

from __future__ import annotations

import re

import numpy as np

_PLAIN = re.compile(r"[ML\d\s,.\-+eE]*")
_TOKEN = re.compile(r"([A-Za-z])|([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)")


def read_stitches(data: str) -> list[np.ndarray]:
    """The sub-paths of stitch path data as (n, 2) arrays in user units.

    Raises ValueError if it holds a curve or can't be read.
    """
    data = data.strip()
    if _PLAIN.fullmatch(data):
        return [_points(part) for part in data.split("M") if part.strip()]
    return _walked(data)


def _points(part: str) -> np.ndarray:
    numbers = part.replace("L", " ").replace(",", " ").split()
    try:
        values = np.array(numbers, dtype=float)
    except ValueError:
        raise ValueError("its stitches can't be read") from None
    if len(values) % 2 or not np.isfinite(values).all():
        raise ValueError("its stitches can't be read")
    return values.reshape(-1, 2)


def _walked(data: str) -> list[np.ndarray]:
    """Path data with relative commands, H, V or Z."""
    paths: list[list[tuple[float, float]]] = []
    here = start = (0.0, 0.0)
    command = ""
    numbers: list[float] = []
    for match in _TOKEN.finditer(data):
        if match[1]:
            command, numbers = match[1], []
            if command not in "MmLlHhVvZz":
                raise ValueError("a stitch is curved; make its segments straight again")
            if command in "Zz" and paths:
                paths[-1].append(start)
                here = start
            continue
        numbers.append(float(match[2]))
        if command in "HhVv" or len(numbers) == 2:
            here = _moved(command, numbers, here)
            numbers = []
            if command in "Mm" or not paths:
                paths.append([])
                start = here
                command = "l" if command == "m" else "L" if command == "M" else command
            paths[-1].append(here)
    return [np.array(path) for path in paths]


def _moved(command: str, numbers: list[float], here: tuple[float, float]) -> tuple[float, float]:
    base = here if command.islower() else (0.0, 0.0)
    if command in "Hh":
        return base[0] + numbers[0], here[1]
    if command in "Vv":
        return here[0], base[1] + numbers[0]
    return base[0] + numbers[0], base[1] + numbers[1]
