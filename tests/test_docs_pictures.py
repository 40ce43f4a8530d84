"""The pictures of the documents: each is used, made by the script, and made from what there is.

Nothing is photographed here: `python docs/make_pictures.py` does that, and writes down by digest
what every picture was made from. Where a digest is another now, the picture shows what is no more.
"""

from __future__ import annotations

import importlib
import json
import platform
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from PIL import Image

ROOT = Path(__file__).resolve().parent.parent
PICTURES = ROOT / "docs" / "pictures"
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]
REMEDY = "run python docs/make_pictures.py, and look at the pictures"

MOST_BYTES, MOST_ALL_BYTES = 70_000, 700_000

# Math libraries differ in the last bit elsewhere; stitches are held to where CI runs.
BYTE_EXACT = sys.platform == "linux" and platform.machine() == "x86_64"


@pytest.fixture(scope="module")
def script() -> Iterator[ModuleType]:
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(ROOT / "docs"))  # as it is when the script is run
        yield importlib.import_module("make_pictures")


def used() -> dict[str, list[str]]:
    """The pictures that pages show, with the words for those who don't see them."""
    found: dict[str, list[str]] = {}
    for page in PAGES:
        for words, path in re.findall(r"!\[([^\]]*)\]\(([^)]*)\)", page.read_text("utf-8")):
            assert (page.parent / path).is_file(), path
            found.setdefault(Path(path).stem, []).append(words)
    return found


def test_every_picture_is_shown_and_made_by_the_script(script: ModuleType) -> None:
    there = {path.stem for path in PICTURES.glob("*.png")}
    assert there == set(script.MAKERS), REMEDY
    assert there == set(used())


def test_every_picture_is_told_in_words() -> None:
    assert [name for name, words in used().items() if not all(len(w) >= 15 for w in words)] == []


def test_every_picture_is_small() -> None:
    sizes = {path.name: path.stat().st_size for path in PICTURES.glob("*.png")}
    assert {name: size for name, size in sizes.items() if size > MOST_BYTES} == {}
    assert sum(sizes.values()) <= MOST_ALL_BYTES


def test_no_picture_is_empty() -> None:
    """A photograph taken too early is black all over."""
    for path in PICTURES.glob("*.png"):
        with Image.open(path) as picture:  # with a palette, so a bin is a colour
            assert max(picture.histogram()) < 0.95 * picture.width * picture.height, path.name


def test_every_picture_shows_what_there_is_now(script: ModuleType, tmp_path: Path) -> None:
    known = json.loads((PICTURES / "made-from.json").read_text(encoding="utf-8"))
    assert set(known) == set(script.MAKERS), REMEDY
    now = script.digests(tmp_path)
    stale = {
        name: source
        for name, sources in known.items()
        for source, digest in sources.items()
        if digest != now[source] and (BYTE_EXACT or source in script.DIALOGS)
    }
    assert stale == {}, REMEDY


def test_what_a_picture_was_made_from_is_written_down(script: ModuleType) -> None:
    known = json.loads((PICTURES / "made-from.json").read_text(encoding="utf-8"))
    told = {name: sorted(sources) for name, sources in known.items()}
    assert told == {name: sorted(made.sources) for name, made in script.MAKERS.items()}, REMEDY
