"""`applique library add` killed at any moment leaves the old library or the new one, whole."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from lxml import etree

from applique.files import svg_bytes
from applique.library.adding import add_templates
from applique.library.pieces import templates_in
from applique.library.shelf import new_library
from applique.svg import vocabulary as v
from tests.shapes import drawing

TRIES = 12
SECONDS = 60
COMMAND = (sys.executable, "-m", "applique.cli.main", "library", "add")


def large_library() -> bytes:
    """A library of 40 templates, with a picture of somebody's that makes the file 8 MB long, so
    that a good part of a run is spent on writing."""
    squares = "".join(
        f'<path ap:piece="{k}" d="M0 0h{k + 10}v9h-{k + 10}z"/>' for k in range(1, 41)
    )
    library = new_library("Harbour")
    add_templates(library, templates_in(drawing(squares), "page 1")[0], "HB")
    picture = etree.SubElement(library.root, v.svg("image"))
    picture.set(f"{{{v.XLINK}}}href", "data:image/png;base64," + "QUFB" * 2_000_000)
    return svg_bytes(library.root.getroottree())


def start(folder: Path) -> subprocess.Popen[bytes]:
    command = [*COMMAND, folder / "new.svg", "--to", folder / "set.svg", "--prefix", "HB"]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)


def finish(process: subprocess.Popen[bytes]) -> str:
    """Wait for the end of a run that nobody kills; returns what it complained of."""
    with process:
        _, complaints = process.communicate(timeout=SECONDS)
    assert process.returncode == 0
    return complaints.decode()


def leftovers(folder: Path) -> set[str]:
    """Files beside the library in which runs were writing."""
    return {path.name for path in folder.iterdir()} - {"new.svg", "set.svg"}


def killed(folder: Path, moment: Callable[[], None]) -> None:
    """Start a run and kill it at some moment; it may be over by then."""
    with start(folder) as process:
        moment()
        process.kill()
        process.communicate(timeout=SECONDS)


def test_a_run_that_is_killed_leaves_the_old_library_or_the_new_one(tmp_path: Path) -> None:
    old, library = large_library(), tmp_path / "set.svg"
    piece = drawing('<path ap:piece="99" d="M0 0h9v9z"/>')
    (tmp_path / "new.svg").write_bytes(etree.tostring(piece))
    library.write_bytes(old)
    began = time.monotonic()
    finish(start(tmp_path))
    whole_run = time.monotonic() - began
    new = library.read_bytes()
    assert new != old

    chance = random.Random(17)

    def anywhere() -> None:
        time.sleep(whole_run * chance.random())

    def while_writing() -> None:
        end = time.monotonic() + 3 * whole_run
        while leftovers(tmp_path) == before and time.monotonic() < end:
            time.sleep(0.001)
        time.sleep(0.03 * chance.random())

    for moment in (anywhere, while_writing):
        for _ in range(TRIES):
            library.write_bytes(old)
            before = leftovers(tmp_path)
            killed(tmp_path, moment)
            assert library.read_bytes() in (old, new)

    # Whatever the killed runs left behind, the next one does its work.
    assert leftovers(tmp_path)
    library.write_bytes(old)
    finish(start(tmp_path))
    assert library.read_bytes() == new
