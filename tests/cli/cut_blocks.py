"""Blocks with cut lines written by hand, and cut sheets read with nothing of ours."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import shapely
import svgelements
from lxml import etree
from shapely.geometry.base import BaseGeometry

from applique.cli.main import main

AP = "{https://underlap.example/svg/1}"
SVG = "{http://www.w3.org/2000/svg}"

LEAF = "M10 30 C20 10 50 10 60 30 C50 50 20 50 10 30 Z"
DUNE = "M10 60 L90 60 L90 80 C60 70 40 70 10 80 Z"
RING = "M10 100 C10 80 50 80 50 100 C50 120 10 120 10 100 Z M20 100 L40 100 L30 110 Z"
CROSSING = "M0 0 L40 40 L40 0 L0 40 Z"


def square(side: float) -> str:
    return f"M0 0 H{side} V{side} H0 Z"


def line(piece: object, d: str, fabric: str = "sea blue", cut: str = "outline", **tags: str) -> str:
    """One line of a cutting layer."""
    told = {"piece": piece, "fabric": fabric, "cut": cut, "turn": "any"} | tags
    written = " ".join(f'ap:{name}="{value}"' for name, value in told.items())
    return f'<path {written} d="{d}"/>'


WHALE = (
    line("1", LEAF),
    line("17", RING),
    line("2", DUNE, "sand", turn="half", grain="0"),
)


def block(path: Path, *lines: str, name: str = "whale") -> Path:
    """A block of which only the cutting layer is there."""
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
        f'ap:version="1" ap:block="{name}" width="300mm" height="300mm" viewBox="0 0 300 300">'
        '<metadata><ap:fabric name="sea blue" colour="#2f6f8f"/>'
        '<ap:fabric name="sand" colour="#dcc08b" turn="half" grain="0"/></metadata>'
        f'<g ap:role="cutting">{"".join(lines)}</g></svg>',
        encoding="utf-8",
    )
    return path


def cut(*words: object) -> int:
    """Run `applique cut`, with time enough unless told otherwise; its exit code."""
    try:
        return main(["cut", "--seconds", "30", *map(str, words)])
    except SystemExit as stop:  # argparse ends by itself on wrong usage
        return int(str(stop.code))


def refused(capsys: pytest.CaptureFixture[str], code: int, *words: object) -> list[str]:
    """The errors of a command that must end with a code."""
    assert cut(*words) == code
    told = capsys.readouterr().err.splitlines()
    return [text.split("error: ")[1] for text in told if "error: " in text]


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def contents(folder: Path) -> dict[str, bytes]:
    files = [path for path in folder.rglob("*") if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


@dataclass(frozen=True, eq=False)
class ReadSheet:
    """A sheet's file: its size in mm, and of every piece its block, label and path."""

    root: etree._Element
    size_mm: tuple[float, float]
    pieces: tuple[tuple[str, str, svgelements.Path], ...]

    @property
    def labels(self) -> list[str]:
        return [label for _, label, _ in self.pieces]

    def shapes(self) -> list[BaseGeometry]:
        return [enclosed(path) for _, _, path in self.pieces]

    def drawn(self) -> int:
        """How many lines a pen draws."""
        [group] = [each for each in self.root.iter(f"{SVG}g") if each.get("id") == "drawing"]
        return len(group)

    def boxes(self) -> list[tuple[float, float, float, float]]:
        """The boxes round all that a pen draws."""
        [group] = [each for each in self.root.iter(f"{SVG}g") if each.get("id") == "drawing"]
        return [svgelements.Path(path.get("d")).bbox() for path in group]


def read_sheet(path: Path) -> ReadSheet:
    root = etree.parse(str(path)).getroot()
    left, top, width, height = map(float, root.get("viewBox").split())
    assert (left, top) == (0.0, 0.0)
    assert (root.get("width"), root.get("height")) == (f"{width:g}mm", f"{height:g}mm")
    marked = [each for each in root.iter(f"{SVG}path") if each.get(f"{AP}piece") is not None]
    return ReadSheet(
        root,
        (width, height),
        tuple(
            (
                each.get(f"{AP}block", ""),
                each.get(f"{AP}piece"),
                svgelements.Path(each.get("d")),
            )
            for each in marked
        ),
    )


def enclosed(path: svgelements.Path) -> BaseGeometry:
    """What a path encloses by the even-odd rule, its curves as 800 chords each."""
    shape: BaseGeometry = shapely.Polygon()
    at = np.linspace(0.0, 1.0, 800, endpoint=False)
    for ring in path.as_subpaths():
        sides = [each for each in svgelements.Path(ring) if not isinstance(each, svgelements.Move)]
        points = np.vstack([_along(side, at) for side in sides if side.length() > 0])
        shape = shape.symmetric_difference(shapely.Polygon(points))
    return shape


def _along(side: svgelements.PathSegment, at: np.ndarray) -> np.ndarray:
    """Points (n, 2) of a straight side or a cubic curve; arcs and quadratic curves are neither."""
    if isinstance(side, (svgelements.Line, svgelements.Close)):
        return np.array([tuple(side.start)])
    assert isinstance(side, svgelements.CubicBezier)
    ends = np.array([tuple(p) for p in (side.start, side.control1, side.control2, side.end)])
    t = at[:, None]
    first, last = (1 - t) ** 2, t**2
    return (
        first * (1 - t) * ends[0]
        + 3 * first * t * ends[1]
        + 3 * (1 - t) * last * ends[2]
        + (last * t * ends[3])
    )


def nodes(path: svgelements.Path) -> int:
    """How many segments a path has, without the lines of no length that close it."""
    moves = (svgelements.Move,)
    return sum(1 for each in path if not isinstance(each, moves) and each.length() > 0)
