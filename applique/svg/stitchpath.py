"""Path data of stitches: every vertex is one needle penetration.

Written as absolute M and L. Read back as M, L, H, V and Z in both cases, because an editor rewrites
paths when they are dragged; a curve is no stitch.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np

from applique.units import LARGEST, NUMBER, read_number

_PLAIN = re.compile(r"(?:M[ML\d\s,.\-+eE]*)?")
_TOKEN = re.compile(rf"[\s,]*(?:([A-Za-z])|({NUMBER}))")


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
        raise _unreadable(part) from None
    if not len(values) or len(values) % 2 or not (np.abs(values) <= LARGEST).all():
        raise _unreadable(part)
    return values.reshape(-1, 2)


def _walked(data: str) -> list[np.ndarray]:
    """Path data with relative commands, H, V or Z."""
    paths: list[list[tuple[float, float]]] = []
    here = start = (0.0, 0.0)
    command = ""
    numbers: list[float] = []
    for letter, number in _tokens(data):
        if letter:
            if numbers:
                raise _unreadable(data)
            command = letter
            if command in "CcSsQqTtAa":
                raise ValueError("a stitch is curved; make its segments straight again")
            if command not in "MmLlHhVvZz":
                raise _unreadable(data)
            if command in "Zz" and paths:
                paths[-1].append(start)
                here = start
            continue
        if not command or command in "Zz":
            raise _unreadable(data)
        numbers.append(_number(number))
        if command in "HhVv" or len(numbers) == 2:
            here = _moved(command, numbers, here)
            numbers = []
            if command in "Mm" or not paths:
                paths.append([])
                start = here
                command = {"m": "l", "M": "L"}.get(command, command)
            paths[-1].append(here)
    if numbers:
        raise _unreadable(data)
    return [np.array(path) for path in paths]


def _tokens(data: str) -> Iterator[tuple[str, str]]:
    """Command letters and numbers in turn, one of the two each time."""
    position = 0
    while position < len(data):
        match = _TOKEN.match(data, position)
        if match is None:
            raise _unreadable(data[position:])
        yield match[1] or "", match[2] or ""
        position = match.end()


def _number(text: str) -> float:
    try:
        return read_number(text)
    except ValueError:
        raise _unreadable(text) from None


def _moved(command: str, numbers: list[float], here: tuple[float, float]) -> tuple[float, float]:
    base = here if command.islower() else (0.0, 0.0)
    if command in "Hh":
        return base[0] + numbers[0], here[1]
    if command in "Vv":
        return here[0], base[1] + numbers[0]
    return base[0] + numbers[0], base[1] + numbers[1]


def _unreadable(data: str) -> ValueError:
    return ValueError(f"its stitches can't be read near '{data.strip()[:30]}'; mend or remove them")
