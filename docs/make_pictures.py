"""Makes every picture of the documents from the program itself: `python docs/make_pictures.py`.

`--only NAME` makes one. The drawing of docs/first-block.md goes through all of its steps; dialogs
and menus are photographed in the real editor, pages in a real browser, and the editor draws the
drawings.

What each picture was made from is written down by digest in docs/pictures/made-from.json. A test
fails when that has changed (a dialog has another field, stitches come out otherwise) and the
picture has not. Look at the pictures before you commit them.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path

from picturing import first_block, pages
from picturing.story import DIALOGS, DOCS, Story, digests, run
from picturing.studio import MAKERS, Studio
from PIL import Image

__all__ = ["DIALOGS", "MAKERS", "digests", "first_block", "pages"]

PICTURES = DOCS / "pictures"
RECORD = PICTURES / "made-from.json"
COLOURS = 128
"""In a picture at most; more only make its file larger."""


def taken(made: Image.Image, path: Path) -> None:
    """Save a picture, with few colours, so that its file is small."""
    few = made.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    few.save(path, optimize=True)


def main(words: list[str]) -> None:
    """Make all pictures, or one."""
    parser = argparse.ArgumentParser(description="Make the pictures of the documents.")
    parser.add_argument("--only", metavar="NAME", choices=sorted(MAKERS), help="make this one")
    only = parser.parse_args(words).only
    from picturing.desk import desk

    with tempfile.TemporaryDirectory() as folder, desk(Path(folder) / "quilter") as screen:
        os.environ.update(INKSCAPE_PROFILE_DIR=str(screen.profile), UNDERLAP_EDITOR="inkscape")
        run("editor", "install")
        studio = Studio(Story(screen.home / "quilting"), screen)
        for name in [only] if only else MAKERS:
            screen.prefer()
            sys.stdout.write(f"{name}\n")
            taken(MAKERS[name].make(studio), PICTURES / f"{name}.png")
        record(digests(Path(folder) / "again"), [only] if only else list(MAKERS))


def record(now: Mapping[str, str], names: list[str]) -> None:
    """Write down what these pictures were made from; what is known of the others stays."""
    known = json.loads(RECORD.read_text(encoding="utf-8")) if RECORD.exists() else {}
    known = {name: each for name, each in known.items() if name in MAKERS}
    for name in names:
        known[name] = {source: now[source] for source in MAKERS[name].sources}
    text = json.dumps(dict(sorted(known.items())), indent=1, ensure_ascii=False)
    RECORD.write_text(f"{text}\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
