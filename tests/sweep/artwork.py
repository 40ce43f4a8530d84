"""Artwork nobody here drew: two public icon sets, fetched when they are wanted and never kept here.

`npm pack` brings them as archives into a folder outside the project.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import tarfile
import tempfile
from dataclasses import dataclass
from pathlib import Path

from lxml import etree

from applique.svg import vocabulary as v


@dataclass(frozen=True)
class ArtworkSet:
    """A package of SVGs, the size they are scaled to, in mm, and whether each is one piece."""

    package: str
    version: str
    size_mm: float
    one_piece: bool
    count: int


SETS = {
    # One filled path each, 62 % with holes, a third with arcs (Apache-2.0).
    "icons": ArtworkSet("@mdi/svg", "7.4.47", 60.0, one_piece=True, count=7447),
    # Layered colours, four in ten with an outline that crosses itself (MIT; drawings CC-BY 4.0).
    "emoji": ArtworkSet("@twemoji/svg", "15.0.0", 120.0, one_piece=False, count=3720),
}


class NoArtworkError(Exception):
    """The artwork is not here and can't be fetched; says why."""


def folder_of(artwork: ArtworkSet) -> Path:
    """Where the set lies, fetched first if it is not there yet. Raises NoArtworkError."""
    home = (
        Path(tempfile.gettempdir())
        / f"underlap-artwork-{os.getuid() if os.name == 'posix' else ''}"
    )
    folder = home / f"{artwork.package.strip('@').replace('/', '-')}-{artwork.version}"
    if not folder.exists():
        home.mkdir(parents=True, exist_ok=True)
        _fetch(artwork, folder)
    return folder


def drawings(artwork: ArtworkSet, sample: int | None, seed: int) -> list[Path]:
    """The SVGs of a set in order of their names, or a seeded sample of them."""
    found = sorted(folder_of(artwork).rglob("*.svg"))
    if sample is None or sample >= len(found):
        return found
    return sorted(random.Random(seed).sample(found, sample))


def as_block(path: Path, artwork: ArtworkSet) -> etree._Element:
    """An SVG as a block's drawing at its size; a drawing of one path is tagged as one piece."""
    root = etree.parse(path).getroot()
    root.set("width", f"{artwork.size_mm:g}mm")
    root.set("height", f"{artwork.size_mm:g}mm")
    if artwork.one_piece:
        drawn = root.find(f".//{v.svg('path')}")
        drawn.set(v.ap("piece"), "1")
        drawn.set(v.ap("fabric"), "sea blue")
    return root


def _fetch(artwork: ArtworkSet, folder: Path) -> None:
    npm = shutil.which("npm")
    if npm is None:
        raise NoArtworkError("npm is not installed")
    with tempfile.TemporaryDirectory(dir=folder.parent) as draft:
        wanted = f"{artwork.package}@{artwork.version}"
        packed = subprocess.run(
            [npm, "pack", "--silent", wanted, "--pack-destination", draft],
            capture_output=True,
            text=True,
            check=False,
        )
        archives = list(Path(draft).glob("*.tgz"))
        if packed.returncode != 0 or len(archives) != 1:
            raise NoArtworkError(f"npm could not fetch {wanted}: {packed.stderr.strip()[-200:]}")
        with tarfile.open(archives[0]) as archive:
            archive.extractall(Path(draft) / "whole", filter="data")
        (Path(draft) / "whole").rename(folder)
