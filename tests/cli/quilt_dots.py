"""A quilt of one very small block that is good, and of whatever a test adds to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest

from applique.cli.main import main
from tests.building.quilts import put

PROJECT = """name = "Dots"

[cutting]
sheets = ["60x60"]

[fabrics]
"leaf" = "#5d7a45"
"""

GOOD = """
[[block]]
name = "Dot"
file = "dot.svg"
"""

SQUARE = "M10 10 H30 V30 H10 Z"


def piece(d: str = SQUARE, fabric: str = "leaf", number: int = 1) -> str:
    return (
        f'<path ap:piece="{number}" ap:fabric="{fabric}" ap:edge="blanket" fill="#5d7a45" d="{d}"/>'
    )


def drawing(*pieces: str, finished: str = 'ap:finished="30x30"', side: int = 40) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
        f'width="{side}mm" height="{side}mm" viewBox="0 0 {side} {side}" ap:version="1" '
        f"{finished}>{''.join(pieces)}</svg>"
    )


def block(name: str, file: str = "bad.svg", word: str = "file") -> str:
    """A block of quilt.toml; `name` in its quotes."""
    return f'\n[[block]]\nname = {name}\n{word} = "{file}"\n'


@dataclass(frozen=True)
class Told:
    """What a command said: its exit code, its errors, its results."""

    code: int
    errors: list[str]
    text: str
    text_of_errors: str


@dataclass(frozen=True)
class Dots:
    """The quilt in a folder of its own, and where it is built."""

    folder: Path
    capsys: pytest.CaptureFixture[str]

    @property
    def path(self) -> Path:
        return self.folder / "in" / "quilt.toml"

    @property
    def out(self) -> Path:
        return self.folder / "out"

    def write(
        self, blocks: str = GOOD, files: Mapping[str, str | bytes] = {}, project: str = PROJECT
    ) -> None:
        put(self.folder / "in" / "dot.svg", drawing(piece()))
        for name, text in files.items():
            put(self.folder / "in" / name, text)
        put(self.path, project + blocks)

    def build(self, *words: str) -> Told:
        """`applique quilt`, which shows no trace of the program whatever happens."""
        self.capsys.readouterr()
        try:
            code = main(["quilt", str(self.path), "-o", str(self.out), "--jobs", "1", *words])
        except SystemExit as stop:  # argparse ends by itself on wrong words
            code = int(str(stop.code))
        told = self.capsys.readouterr()
        assert "Traceback" not in told.err + told.out
        lines = told.err.splitlines()
        return Told(
            code, [it.split("error: ", 1)[1] for it in lines if "error: " in it], told.out, told.err
        )

    def has_built(self, stem: str = "dot") -> bool:
        """Whether everything of a block is there."""
        folder = self.out / "blocks" / stem
        papers = ("layers.svg", "run-sheet.html", "stitch-out.html", "proof.png", "picture.png")
        return all((folder / f"{stem}-{name}").is_file() for name in papers)

    def strangers(self) -> list[str]:
        """What lies beside the quilt and its folder: there may be nothing."""
        return sorted(p.name for p in self.folder.iterdir() if p.name not in ("in", "out"))
