"""Every command that writes, on two small blocks: what it is given and where it writes.

As a program, `python -m tests.every_command INPUTS OUT`, it runs them all in one process.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

from PIL import Image, ImageDraw

from applique.cli.main import main
from tests.building import quilts

ART = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="80mm" viewBox="0 0 80 80">'
    '<rect x="5" y="5" width="70" height="70" fill="#bcd9ea"/>'
    '<circle cx="40" cy="40" r="20" fill="#b2392f" stroke="#222222" stroke-width="2"/></svg>'
)

SCAN_DPI = 150


def write_inputs(folder: Path) -> None:
    """All that the commands read but the sheets of an earlier run."""
    quilts.write_quilt(folder)
    quilts.put(folder / "art.svg", ART)
    page = Image.new("L", (600, 600), 255)
    pen = ImageDraw.Draw(page)
    pen.polygon([(120, 120), (480, 150), (430, 480), (150, 420)], outline=0, width=5)
    page.save(folder / "page.png", dpi=(SCAN_DPI, SCAN_DPI))
    for made in ("house-layers.svg", "stale.svg"):
        run(["layers", folder / "house.svg", "-o", folder / made])
    run(["stitch", folder / "house-layers.svg", "-o", folder / "house.dst"])
    quilts.edit(folder / "stale.svg", quilts.ROOF, "M22 52 L50 27 L78 52 Z")


def write_sheets(inputs: Path) -> None:
    """The sheets of an earlier run, with the record of its search."""
    assert run(calls(inputs, inputs)["cut"]) == 0


def calls(inputs: Path, out: Path) -> Mapping[str, Sequence[object]]:
    """The words of each command that writes files, by a name, `out` being where they go. But
    `refresh` and those of the library write over one of the inputs, and sheets go where those of
    before lie: their search ends by the clock, and is not done again where nothing has changed."""
    layered, shelf = inputs / "house-layers.svg", inputs / "set.svg"
    field = ("--field", "130x180")
    return {
        "trace": ["trace", inputs / "page.png", "-o", out / "t.svg", "--report", out / "t.json"],
        "compose": ["compose", inputs / "layouts/tree.toml", "-o", out / "tree.svg"],
        "import": ["import", inputs / "art.svg", "-o", out / "art.svg", "--width", "100"],
        "layers": ["layers", inputs / "house.svg", "-o", out / "layers.svg"],
        "refresh": ["refresh", inputs / "stale.svg", "-o", inputs / "stale.svg"],
        **{
            f"stitch {suffix}": ["stitch", layered, "-o", out / f"house.{suffix}"]
            for suffix in ("dst", "pes", "pec", "exp", "jef", "vp3", "xxx")
        },
        "inspect": ["inspect", inputs / "house.dst", "--picture", out / "house.png"],
        "hoop": ["hoop", layered, "-o", out / "hoopings", *field],
        "cut": ["cut", layered, "-o", inputs / "cut", "--seconds", "30"],
        "proof": ["proof", layered, "--picture", out / "proof.png"],
        "card": ["card", inputs / "house.svg", "-o", out / "card.pdf"],
        "card page": ["card", inputs / "house.svg", "-o", out / "card.html"],
        "run-sheet": ["run-sheet", layered, "-o", out / "run.pdf"],
        "run-sheet page": ["run-sheet", layered, "-o", out / "run.html", *field],
        "stitch-out": ["stitch-out", layered, "-o", out / "stitch-out.html"],
        "library add": ["library", "add", inputs / "art.svg", "--to", shelf, "--prefix", "N"],
        "library sheet": ["library", "sheet", shelf, "-o", out / "sheet.pdf"],
        "library show": ["library", "show", shelf, "T1", "--picture", out / "t1.png"],
        "library remove": ["library", "remove", shelf, "T2", "--force"],
        "schema": ["quilt", "--write-schema", out / "quilt.json"],
    }


def run(words: Sequence[object]) -> int:
    """The exit code of a command that is run here."""
    return main([str(word) for word in words])


if __name__ == "__main__":
    INPUTS, OUT = map(Path, sys.argv[1:])
    for name, words in calls(INPUTS, OUT).items():
        if run(words) != 0:
            sys.exit(f"{name} failed")
