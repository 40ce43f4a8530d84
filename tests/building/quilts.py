"""A small quilt in a folder, built in two seconds: a house, a boat, and a tree of templates."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from PIL import Image

from applique.building.build import Built, build_quilt, chosen_blocks
from applique.building.running import Outcome
from applique.building.task import Task
from applique.export.formats import FORMATS
from applique.files import svg_bytes
from applique.hoops.fields import read_fields
from applique.quilt.project import Project
from applique.quilt.reading import read_project
from applique.resources import hoop_fields_text
from tests import shapes
from tests.library.shelves import library

ROOT = Path(__file__).resolve().parents[2]

WALL = "M30 50 H70 V85 H30 Z"
ROOF = "M22 52 L50 25 L78 52 Z"
HULL = "M20 60 H82 L70 80 H32 Z"
SAIL = "M50 20 L76 58 H50 Z"

BLOCKS = """
[[block]]
name = "House"
file = "house.svg"
week = 1

[[block]]
name = "Boat"
file = "drawings/boat.svg"
week = 1
copies = 2

[[block]]
name = "Tree"
layout = "layouts/tree.toml"
week = 2
"""

PROJECT = """name = "Three small blocks"

[fabrics]
"sky" = { colour = "#bcd9ea", width = "1070mm", price = 12.0 }
"brick red" = "#b2392f"
"sea blue" = { colour = "#2f6f8f", swatch = "cloth/waves.png", swatch-size = "20x20" }
"leaf" = "#5d7a45"

[cutting]
sheets = ["150x150"]

[quilt]
rows = [["House", "Boat"], ["Boat", "Tree"]]
binding = { width = 63.5, fabric = "brick red" }
"""

TREE = """block = "Tree"
finished = "100x100"
background = "sky"
library = "../set.svg"

[fabrics]
"sky" = "#bcd9ea"
"leaf" = "#5d7a45"

[defaults]
edge = "blanket"

[[piece]]
piece = "1"
fabric = "leaf"
x = 50
y = 40

[[piece]]
piece = "2"
fabric = "leaf"
x = 50
y = 75
"""


def piece(number: object, d: str, fabric: str, colour: str, **tags: str) -> str:
    """A drawn piece with a blanket stitched edge, unless told otherwise."""
    told = {"piece": number, "fabric": fabric, "edge": "blanket"} | tags
    written = " ".join(f'ap:{name}="{value}"' for name, value in told.items())
    return f'<path {written} fill="{colour}" d="{d}"/>'


def drawing(*pieces: str) -> str:
    """A block of 100 x 100 mm."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
        'width="113mm" height="113mm" viewBox="-6.5 -6.5 113 113" ap:version="1" '
        f'ap:finished="100x100" ap:background="sky">{"".join(pieces)}</svg>'
    )


def house(roof: str = ROOF) -> str:
    return drawing(
        piece(1, WALL, "sky", "#bcd9ea"),
        piece(2, roof, "brick red", "#b2392f", edge="straight", method="turned"),
    )


def boat(sail: str = SAIL) -> str:
    return drawing(piece(1, HULL, "brick red", "#b2392f"), piece(2, sail, "sea blue", "#2f6f8f"))


def waves() -> bytes:
    """A photograph of a cloth, 20 px each way."""
    down = np.arange(20)[:, None, None] * np.array([6, 3, 1])
    pixels = np.broadcast_to(60 + down, (20, 20, 3)).astype(np.uint8)
    stream = io.BytesIO()
    Image.fromarray(pixels).save(stream, "PNG")
    return stream.getvalue()


def templates() -> bytes:
    """A library of two: a crown and a trunk."""
    made = library({"1": shapes.circle(20.0), "2": shapes.square(16.0)}, "T")
    return svg_bytes(made.root.getroottree())


def write_quilt(folder: Path, blocks: str = BLOCKS, project: str = PROJECT) -> Path:
    """The quilt and all its files; returns its quilt.toml."""
    files: Mapping[str, str | bytes] = {
        "house.svg": house(),
        "drawings/boat.svg": boat(),
        "layouts/tree.toml": TREE,
        "set.svg": templates(),
        "cloth/waves.png": waves(),
        "quilt.toml": project + blocks,
    }
    for name, text in files.items():
        put(folder / name, text)
    return folder / "quilt.toml"


def put(path: Path, text: str | bytes) -> None:
    """A file, with its folders."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode() if isinstance(text, str) else text)


def edit(path: Path, old: str, new: str) -> None:
    """Change a word of a file."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def read(path: Path) -> Project:
    fields = read_fields(hoop_fields_text())
    return read_project(path.read_text(encoding="utf-8"), tuple(FORMATS), fields)


class Unwatched:
    """Nobody looks on."""

    def expect(self, count: int) -> None: ...

    def begin(self, task: Task) -> None: ...

    def end(self, outcome: Outcome) -> None: ...


def build(
    path: Path, into: Path, blocks: Sequence[str] = (), week: int | None = None, jobs: int = 1
) -> Built:
    """Build a quilt here."""
    project = read(path)
    chosen = chosen_blocks(project, blocks, week)
    return build_quilt(project, path.parent, into, chosen, jobs, Unwatched())


def hows(built: Built) -> dict[str, str]:
    """What became of every task."""
    return {outcome.task.name: outcome.how for outcome in built.outcomes}


def those(built: Built, how: str) -> set[str]:
    """The tasks of which one thing became."""
    return {name for name, became in hows(built).items() if became == how}


def plain(name: str) -> str:
    """A block's name as its files have it."""
    return name.lower().replace(" ", "-")


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a folder by name, but for the lock."""
    paths = (path for path in sorted(folder.rglob("*")) if path.is_file())
    found = {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}
    found.pop(".underlap/lock", None)
    return found


def command(path: Path, into: Path, *words: str) -> list[str]:
    """The words of `applique quilt` for another process."""
    return [sys.executable, "-m", "applique.cli.main", "quilt", str(path), "-o", str(into), *words]


def run(path: Path, into: Path, *words: str, **environment: str) -> subprocess.CompletedProcess:
    """`applique quilt` in another process, to its end."""
    return subprocess.run(
        command(path, into, *words),
        cwd=ROOT,
        env=os.environ | environment,
        capture_output=True,
        text=True,
        timeout=300,
    )
