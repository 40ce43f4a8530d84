"""`applique library add` killed at any moment leaves the old library or the new one, whole."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from pathlib import Path

from lxml import etree

from applique.files import svg_bytes
from applique.library.adding import add_templates
from applique.library.pieces import templates_in
from applique.library.shelf import new_library
from applique.svg import vocabulary as v
from tests.shapes import drawing

SECONDS = 60
COMMAND = (sys.executable, "-m", "applique.cli.main", "library", "add")


def large_library() -> bytes:
    """A library of 40 templates and of a picture, 8 MB long, so that writing takes a moment."""
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


def finish(process: subprocess.Popen[bytes]) -> None:
    """Wait for the end of a run that nobody kills."""
    with process:
        _, complaints = process.communicate(timeout=SECONDS)
    assert process.returncode == 0, complaints.decode()


def leftovers(folder: Path) -> set[str]:
    """Files beside the library in which runs were writing."""
    return {path.name for path in folder.iterdir()} - {"new.svg", "set.svg"}


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

    chance, left = random.Random(17), set[str]()
    for until_writing in [False] * 15 + [True] * 10:
        library.write_bytes(old)
        before = leftovers(tmp_path)
        with start(tmp_path) as process:
            while until_writing and leftovers(tmp_path) == before and process.poll() is None:
                time.sleep(0.001)
            time.sleep(chance.random() * (0.02 if until_writing else whole_run))
            process.kill()
            process.communicate(timeout=SECONDS)
        assert library.read_bytes() in (old, new)
        left |= leftovers(tmp_path)

    # Some were killed as they wrote; the next run takes away what they left behind.
    assert left
    library.write_bytes(old)
    finish(start(tmp_path))
    assert library.read_bytes() == new
    assert leftovers(tmp_path) == set()
