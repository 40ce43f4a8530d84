"""The stitch-out page beside its goals: `python -m tests.benchmarks.stitchout [stitches]`.

A page of so many stitches (100,000 without a number) is played in headless Chromium, which draws
with the processor alone: at the highest speed, at a machine's, with its slider dragged, and
enlarged. Frames are timed by the browser's own clock of frames. Told are the median, what all but
one frame in a hundred reach (the goal is for these), and the longest frame of the run.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from playwright.sync_api import Page, sync_playwright

from applique.pages.stitchout import SPEEDS, stitch_out_page
from tests.benchmarks.figures import Figure, NotHereError, run_alone
from tests.pages.sewn import many_discs

SUITE = "stitchout"
STITCHES = 100_000
MOST_BYTES = 3_000_000
LEAST_FPS = 30.0
MOST_SEEK_MS = 500.0
WATCHED_MS = 6_000
SIZES = {"desktop": (1280, 900, 1), "phone": (390, 844, 2)}

_WATCH = """
() => {
  window.frames = [];
  window.watching = true;
  const note = (now) => {
    window.frames.push(now);
    if (window.watching) requestAnimationFrame(note);
  };
  requestAnimationFrame(note);
}
"""
_WATCHED = "() => { window.watching = false; return window.frames; }"

SEEK = """
async (target) => {
  const begun = performance.now();
  stitchOut.player.goTo(target);
  while (!(stitchOut.screen.picture.point === target && stitchOut.screen.picture.dirty === null)) {
    await new Promise(requestAnimationFrame);
  }
  return performance.now() - begun;
}
"""


def figures(words: Sequence[str]) -> Iterator[Figure]:
    """The size of the page, then how it plays at each size of screen."""
    parser = argparse.ArgumentParser(prog=SUITE)
    parser.add_argument("stitches", type=int, nargs="?", default=STITCHES)
    parser.add_argument("--watched-ms", type=int, default=WATCHED_MS, help="of every speed")
    arguments = parser.parse_args(words)
    browser = shutil.which("chromium")
    if browser is None:
        raise NotHereError("chromium is not installed")
    count = arguments.stitches
    data = stitch_out_page(many_discs(count))
    name, size = f"size of a page of {count:,} stitches", f"{len(data) / 1e6:.2f} MB"
    yield Figure(SUITE, name, size, "at most 3 MB", len(data) <= MOST_BYTES)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        file = Path(folder) / "page.html"
        file.write_bytes(data)
        chromium = playwright.chromium.launch(executable_path=browser, args=["--no-sandbox"])
        for name, (width, height, density) in SIZES.items():
            context = chromium.new_context(
                viewport={"width": width, "height": height},
                device_scale_factor=density,
                offline=True,
            )
            page = context.new_page()
            page.goto(file.as_uri())
            page.wait_for_selector("#player.ready")
            yield from measured(page, name, count, arguments.watched_ms)
            context.close()
        chromium.close()


def measured(page: Page, name: str, count: int, watched_ms: int) -> Iterator[Figure]:
    """The frames and seeking times of one page."""
    first = page.evaluate(SEEK, count)
    yield Figure(SUITE, f"{name}: to the end, first time", f"{first:.0f} ms")
    back = max(page.evaluate(SEEK, count * share // 100) for share in (97, 61, 33, 71, 5))
    goal, met = f"at most {MOST_SEEK_MS:.0f} ms", back <= MOST_SEEK_MS
    yield Figure(SUITE, f"{name}: to any place, then", f"{back:.0f} ms", goal, met)
    fastest, slowest = str(SPEEDS[-1][0]), str(SPEEDS[0][0])
    yield frames_figure(f"{name}: highest speed", playing(page, fastest, watched_ms))
    yield frames_figure(f"{name}: a machine's speed", playing(page, slowest, watched_ms))
    yield frames_figure(f"{name}: slider dragged", dragging(page))
    page.evaluate("() => stitchOut.screen.enlarge(6)")
    yield frames_figure(f"{name}: highest speed, enlarged", playing(page, fastest, watched_ms))


def playing(page: Page, speed: str, watched_ms: int = WATCHED_MS) -> list[float]:
    """The moments of all frames while it plays from the start, in ms."""
    page.click("#first")
    page.select_option("#speed", speed)
    page.wait_for_timeout(500)
    page.evaluate(_WATCH)
    page.click("#play")
    page.wait_for_timeout(watched_ms)
    found: list[float] = page.evaluate(_WATCHED)
    page.click("#play")
    return found


def dragging(page: Page) -> list[float]:
    """The moments of all frames while the slider is drawn to the end and back, in ms."""
    slider = page.locator("#place")
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    assert box is not None
    left, right, y = box["x"] + 8, box["x"] + box["width"] - 8, box["y"] + box["height"] / 2
    page.mouse.move(left, y)
    page.mouse.down()
    page.evaluate(_WATCH)
    page.mouse.move(right, y, steps=150)
    page.mouse.move(left, y, steps=150)
    found: list[float] = page.evaluate(_WATCHED)
    page.mouse.up()
    return found


def frames_figure(name: str, moments: list[float]) -> Figure:
    """The frames a second as a figure."""
    usual, nearly, least = frames_of(moments)
    value = f"{usual:.0f} fps, 99 % {nearly:.0f}, least {least:.0f}"
    met = round(nearly) >= LEAST_FPS
    return Figure(SUITE, name, value, f"at least {LEAST_FPS:.0f} fps", met)


def frames_of(moments: list[float]) -> tuple[float, float, float]:
    """The usual frames a second, what all but one in a hundred reach, and the least."""
    lengths = np.diff(moments)
    usual, nearly, least = (1000 / np.percentile(lengths, (50, 99, 100))).tolist()
    return usual, nearly, least


if __name__ == "__main__":
    sys.exit(run_alone(figures))
