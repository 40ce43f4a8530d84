"""The stitch-out page beside its goals: `uv run python -m tests.benchmarks.stitchout [stitches]`.

A page of so many stitches (100,000 without a number) is played in headless Chromium, which draws
with the processor alone: at the highest speed, at a machine's, with its slider dragged, and
enlarged. Frames are timed by the browser's own clock of frames. Told are the median, what all but
one frame in a hundred reach (the goal is for these), and the longest frame of the run.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

import numpy as np
from playwright.sync_api import Page, sync_playwright

from applique.pages.stitchout import SPEEDS, stitch_out_page
from tests.pages.sewn import many_discs

STITCHES = 100_000
MOST_BYTES = 3_000_000
LEAST_FPS = 30.0
MOST_SEEK_MS = 500.0
WATCHED_MS = 6_000
SIZES = {"desktop": (1280, 900, 1), "phone": (390, 844, 2)}

Row = tuple[str, str, str, bool]

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


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else STITCHES
    data = stitch_out_page(many_discs(count))
    size = f"{len(data) / 1e6:.2f} MB"
    rows: list[Row] = [("size of the page", size, "3 MB", len(data) <= MOST_BYTES)]
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        file = Path(folder) / "page.html"
        file.write_bytes(data)
        chromium = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        for name, (width, height, density) in SIZES.items():
            context = chromium.new_context(
                viewport={"width": width, "height": height},
                device_scale_factor=density,
                offline=True,
            )
            page = context.new_page()
            page.goto(file.as_uri())
            page.wait_for_selector("#player.ready")
            rows += measured(page, name, count)
            context.close()
        chromium.close()
    for name, value, goal, met in rows:
        print(f"{name:48} {value:>24}  goal {goal:<10} {'met' if met else 'MISSED'}")
    return 0 if all(met for *_, met in rows) else 1


def measured(page: Page, name: str, count: int) -> list[Row]:
    """The frames and seeking times of one page."""
    first = page.evaluate(SEEK, count)
    back = max(page.evaluate(SEEK, count * share // 100) for share in (97, 61, 33, 71, 5))
    rows = [
        (f"{name}: to the end, first time", f"{first:.0f} ms", "", True),
        (f"{name}: to any place, then", f"{back:.0f} ms", "500 ms", back <= MOST_SEEK_MS),
    ]
    fastest, slowest = str(SPEEDS[-1][0]), str(SPEEDS[0][0])
    rows.append(frames_row(f"{name}: highest speed", playing(page, fastest)))
    rows.append(frames_row(f"{name}: a machine's speed", playing(page, slowest)))
    rows.append(frames_row(f"{name}: slider dragged", dragging(page)))
    page.evaluate("() => stitchOut.screen.enlarge(6)")
    rows.append(frames_row(f"{name}: highest speed, enlarged", playing(page, fastest)))
    return rows


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


def frames_row(name: str, moments: list[float]) -> Row:
    """The frames a second as a row."""
    usual, nearly, least = frames_of(moments)
    value = f"{usual:.0f} fps, 99 % {nearly:.0f}, least {least:.0f}"
    return name, value, f"{LEAST_FPS:.0f} fps", round(nearly) >= LEAST_FPS


def frames_of(moments: list[float]) -> tuple[float, float, float]:
    """The usual frames a second, what all but one in a hundred reach, and the least."""
    lengths = np.diff(moments)
    usual, nearly, least = (1000 / np.percentile(lengths, (50, 99, 100))).tolist()
    return usual, nearly, least


if __name__ == "__main__":
    sys.exit(main())
