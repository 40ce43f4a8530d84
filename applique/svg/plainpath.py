"""Path data of closed lines and cubics alone, read fast: a library holds thousands of them."""

from __future__ import annotations

import re

import numpy as np

from applique.model import Curve
from applique.units import LARGEST


def parse_plain(data: str) -> list[Curve] | None:
    """Read closed sub-paths of absolute lines and cubics, as `paths.write_path` writes them, in a
    tenth of the time; None for all other path data, which are `paths.parse_path`'s."""
    if not data.startswith("M"):
        return None
    curves = [_plain_ring(part) for part in data[1:].split("M")]
    return None if any(curve is None for curve in curves) else [c for c in curves if c is not None]


def _plain_ring(part: str) -> Curve | None:
    """One sub-path, without its M."""
    commands = _LETTER.findall(part)
    if len(commands) < 2 or commands[-1] != "Z" or not set(commands[:-1]) <= {"L", "C"}:
        return None
    is_line = np.array([letter == "L" for letter in commands[:-1]])
    texts = part.translate(_NO_COMMANDS).split()
    try:
        points = np.array(texts, dtype=float).reshape(-1, 2)
    except ValueError:
        return None
    ends = np.cumsum(np.where(is_line, 1, 3))
    if len(points) != ends[-1] + 1 or not (np.abs(points) <= LARGEST).all():
        return None
    if not np.array_equal(points[-1], points[0]):
        points, ends = np.vstack([points, points[:1]]), np.append(ends, ends[-1] + 1)
        is_line = np.append(is_line, True)
    start, stop = points[np.append(0, ends[:-1])], points[ends]
    third = (stop - start) / 3
    first, second = start + third, stop - third
    bent = ~is_line
    first[bent], second[bent] = points[ends[bent] - 2], points[ends[bent] - 1]
    return Curve(np.stack([start, first, second, stop], axis=1), is_line, closed=True)


_LETTER = re.compile(r"[A-Za-z]")
_NO_COMMANDS = str.maketrans({",": " ", "L": " ", "C": " ", "Z": " "})
