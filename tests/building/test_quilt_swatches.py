"""Photographs of fabrics: shown where the fabric is, and told of where they can't be read."""

from __future__ import annotations

import base64
import io
import re

import numpy as np
import pytest
from PIL import Image

from applique.cli.main import main
from tests.building import quilts
from tests.building.conftest import Quilt

SWATCH = "cloth/waves.png"


def blocks_built(quilt: Quilt) -> set[str]:
    return {path.name for path in (quilt.out / "blocks").iterdir()}


def test_the_index_shows_the_swatch_as_it_was_photographed(once: Quilt) -> None:
    page = (once.out / "index.html").read_text(encoding="utf-8")
    assert "swatches/sea-blue.png" in page
    with Image.open(once.out / "swatches/sea-blue.png") as shown:
        pixels = np.asarray(shown.convert("RGB"))
    with Image.open(io.BytesIO(quilts.waves())) as photographed:
        assert np.array_equal(pixels, np.asarray(photographed))


def test_the_stitch_out_page_shows_the_cloth_of_its_own_block_alone(once: Quilt) -> None:
    shown = {}
    for stem in ("boat", "house"):
        page = (once.out / f"blocks/{stem}/{stem}-stitch-out.html").read_text(encoding="utf-8")
        found = re.findall(r"data:image/png;base64,([A-Za-z0-9+/=]+)", page)
        shown[stem] = [base64.b64decode(each) for each in found]
    swatch = (once.out / "swatches/sea-blue.png").read_bytes()
    assert swatch in shown["boat"]
    assert swatch not in shown["house"]


@pytest.mark.parametrize(
    "data", [None, b"", b"no picture", "cut short", "too large"], ids=lambda it: str(it)[:12]
)
def test_a_swatch_that_can_not_be_read_is_told_and_the_colour_shown(
    data: bytes | str | None, quilt: Quilt, capsys: pytest.CaptureFixture[str]
) -> None:
    path = quilt.folder / SWATCH
    path.unlink()
    if isinstance(data, bytes):
        path.write_bytes(data)
    elif data == "cut short":
        path.write_bytes(quilts.waves()[:60])
    elif data == "too large":
        Image.new("1", (10_000, 10_000)).save(path)
    for _ in range(2):  # Told again as long as it is so.
        assert main(["quilt", str(quilt.path), "-o", str(quilt.out), "--jobs", "1"]) == 1
        told = [line for line in capsys.readouterr().err.splitlines() if "error:" in line]
        assert told
        assert all("sea blue" in each and SWATCH in each for each in told)
    assert blocks_built(quilt) == {"house", "boat", "tree"}
    assert not (quilt.out / "swatches").exists()
    assert "swatches/" not in (quilt.out / "index.html").read_text(encoding="utf-8")


def test_another_swatch_leaves_the_layers_and_the_blocks_without_it(quilt: Quilt) -> None:
    stream = io.BytesIO()
    Image.new("RGB", (10, 10), "#3f7f9f").save(stream, "PNG")
    quilts.put(quilt.folder / SWATCH, stream.getvalue())
    built = quilts.those(quilt.build(), "built")
    assert built >= {"blocks/boat/proof", "blocks/boat/hoopings", "front"}
    assert not [name for name in built if name.endswith("/layers") or "cutting" in name]
    assert not [name for name in built if "/house/" in name or "/tree/" in name]
