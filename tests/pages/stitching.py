"""A small stitch-out page, opened, and what is asked of it."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from playwright.sync_api import Page

from applique.pages.stitchout import stitch_out_page
from applique.pages.stitchout_content import Patch, PlayedBlock, Sitting, StitchOut
from tests.pages.conftest import OpenPage
from tests.pages.sewn import GROUND

RED, BLUE, SAND = "#c03030", "#2040c0", "#e0c080"
COUNT = 400


def line(y: float, count: int = 200) -> np.ndarray:
    """A run of stitches of 0.5 mm to the right, from x = 0."""
    return np.stack([np.arange(count) * 0.5, np.full(count, y)], axis=1)


def two_blocks() -> StitchOut:
    """A red line at y = 10; a stop at which a square is laid as a larger patch; a blue line at
    y = 70, 100 stitches; a stop at which the patch is trimmed; 100 more."""
    patch = Patch("1", "sand", SAND, shapely.box(20, 20, 50, 50), shapely.box(10, 12, 60, 58))
    blocks = (
        PlayedBlock(RED, "barn red", "", (line(10.0),), labels=("1",)),
        PlayedBlock(
            BLUE, "", "", (line(70.0, 100),), (patch,), words="Lay sand over the line of 1."
        ),
        PlayedBlock(BLUE, "", RED, (line(72.0, 100),), (), ("1",), "Trim 1 close."),
    )
    area = (-5.0, 0.0, 105.0, 80.0)
    return StitchOut("Two", GROUND, area, None, (Sitting("", None, blocks),))


def opened(open_page: OpenPage, content: StitchOut | None = None, **wishes: Any) -> Page:
    """The page of two blocks, or of another content, once it has drawn itself."""
    page = open_page(stitch_out_page(content or two_blocks()), **wishes)
    page.wait_for_selector("#player.ready")
    settled(page)
    return page


def settled(page: Page) -> None:
    """Wait until the picture shows the state at the needle, in the view that is asked for."""
    page.wait_for_function(
        "() => stitchOut.screen.drawn === stitchOut.screen.view"
        " && stitchOut.screen.seen === stitchOut.screen.view"
        " && stitchOut.screen.picture.isAt(stitchOut.player.point)"
        " && stitchOut.screen.picture.dirty === null"
    )


def go_to(page: Page, stitch: int) -> None:
    page.evaluate(
        "(stitch) => { const slider = document.getElementById('place'); slider.value = stitch;"
        " slider.dispatchEvent(new Event('input')); }",
        stitch,
    )
    settled(page)


def position(page: Page) -> int:
    return int(page.input_value("#place"))


def colour_at(page: Page, x: float, y: float) -> list[int]:
    """The colour of the canvas at a place in mm."""
    found: list[int] = page.evaluate(
        "([x, y]) => { const { left, top, scale } = stitchOut.screen.picture.view;"
        " const pen = document.querySelector('.cloth').getContext('2d');"
        " return [...pen.getImageData((x - left) * scale, (y - top) * scale, 1, 1).data]; }",
        [x, y],
    )
    return found[:3]


def is_like(found: list[int], colour: str) -> bool:
    wanted = [int(colour[k : k + 2], 16) for k in (1, 3, 5)]
    return max(abs(a - b) for a, b in zip(found, wanted, strict=True)) <= 8


def pixels(page: Page) -> str:
    found: str = page.evaluate("() => document.querySelector('.cloth').toDataURL()")
    return found
