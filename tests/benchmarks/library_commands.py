"""How long the commands of a library take as whole processes, on a library as a file."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path
from subprocess import DEVNULL, run

import numpy as np
from shapely import MultiPolygon

from applique.files import put_in_place, svg_bytes
from applique.geometry.fit import fit_ring
from applique.geometry.rings import rings_of
from applique.library.adding import append_masters
from applique.library.master import Master, at_origin
from applique.library.shelf import new_library
from applique.model import Outline
from applique.svg.paths import write_points
from tests.benchmarks.figures import Figure, at_most, clocked

_ADDED = 24
"""Outlines on two traced pages, which come in at a time."""

_MOST_S = 2
_RUNS = 3


def command_figures(suite: str, shapes: Sequence[MultiPolygon]) -> Iterator[Figure]:
    """Seconds that list, check and add take on a library of these shapes, the best of three."""
    with tempfile.TemporaryDirectory() as folder:
        library, more = Path(folder, "set.svg"), Path(folder, "more", "more.svg")
        more.parent.mkdir()
        write_library(library, shapes)
        write_pieces(more, shapes[:_ADDED])
        words = {
            "list": ["list", str(library)],
            "check": ["check", str(library)],
            "add": ["add", str(more), "--to", str(library), "--prefix", "NEW"],
        }
        before = library.read_bytes()
        for name, action in words.items():
            best = float("inf")
            for _ in range(_RUNS):
                library.write_bytes(before)
                best = min(best, clocked(partial(_command, action)))
            yield at_most(suite, f"library {name}, {len(shapes):,} templates", best, _MOST_S, "s")


def write_library(path: Path, shapes: Sequence[MultiPolygon]) -> None:
    """A library of shapes, their curves fitted as those of traced ones are."""
    library = new_library("Benchmark")
    masters = [
        Master(str(k), "HB", 1, at_origin(fitted_outline(shape)), "page")
        for k, shape in enumerate(shapes)
    ]
    append_masters(library, masters)
    put_in_place(path, svg_bytes(library.root.getroottree()))


def fitted_outline(shape: MultiPolygon) -> Outline:
    """A shape with cubics along its rings."""
    return Outline(shape, tuple(fit_ring(ring) for ring in rings_of(shape)))


def write_pieces(path: Path, shapes: Sequence[MultiPolygon]) -> None:
    """A drawing of shapes, as tracing leaves them."""
    paths = "".join(_path(str(k), rings_of(shape)[0]) for k, shape in enumerate(shapes))
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
        f'width="500mm" height="500mm" viewBox="0 0 500 500">{paths}</svg>'
    )


def _path(label: str, ring: np.ndarray) -> str:
    return f'<path ap:piece="{label}" d="{write_points(ring, 3)} Z"/>'


def _command(action: Sequence[str]) -> None:
    words = [sys.executable, "-m", "applique.cli.main", "library", *action]
    run(words, check=True, stdout=DEVNULL, stderr=DEVNULL)
