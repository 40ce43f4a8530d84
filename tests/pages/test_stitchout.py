"""The stitch-out page in a real browser: what it plays, tells and shows."""

from __future__ import annotations

import base64
import io

import numpy as np
import pytest
import shapely
from PIL import Image
from playwright.sync_api import Page

from applique.pages.stitchout import stitch_out_page
from applique.pages.stitchout_content import Patch, PlayedBlock, Sitting, StitchOut
from tests.benchmarks.stitchout import (
    LEAST_FPS,
    MOST_BYTES,
    MOST_SEEK_MS,
    SEEK,
    STITCHES,
    playing,
)
from tests.pages.conftest import OpenPage
from tests.pages.sewn import GROUND, many_discs
from tests.pages.stitching import (
    BLUE,
    COUNT,
    RED,
    SAND,
    colour_at,
    go_to,
    is_like,
    line,
    opened,
    pixels,
    position,
    settled,
)


def test_it_stands_at_the_start_until_it_is_told_to_play(open_page: OpenPage) -> None:
    page = opened(open_page)
    page.wait_for_timeout(200)
    assert position(page) == 0
    assert page.inner_text("#count") == "0 of 400"
    assert page.inner_text("#play") == "Play"


def test_it_plays_to_the_end_and_pauses_there(open_page: OpenPage) -> None:
    page = opened(open_page)
    page.select_option("#speed", "1000")
    page.click("#play")
    assert page.inner_text("#play") == "Pause"
    page.wait_for_function("() => document.getElementById('count').textContent === '400 of 400'")
    assert page.inner_text("#play") == "Play"
    page.click("#play")  # Once more, from the start.
    page.wait_for_timeout(50)
    assert position(page) < COUNT


def test_pausing_holds_the_needle(open_page: OpenPage) -> None:
    page = opened(open_page)
    page.click("#play")
    page.wait_for_function("() => Number(document.getElementById('place').value) > 5")
    page.click("#play")
    held = position(page)
    page.wait_for_timeout(200)
    assert position(page) == held


def test_speed_is_in_stitches_a_second(open_page: OpenPage) -> None:
    """At 50 a second, a second and a half takes it some 75 stitches on, not 15 and not 300."""
    page = opened(open_page)
    page.select_option("#speed", "50")
    page.click("#play")
    page.wait_for_timeout(1500)
    page.click("#play")
    assert 40 <= position(page) <= 110


def test_it_waits_at_each_stop_if_that_is_wished(open_page: OpenPage) -> None:
    page = opened(open_page)
    page.check("#waits")
    page.select_option("#speed", "1000")
    page.click("#play")
    page.wait_for_function("() => document.getElementById('play').textContent === 'Play'")
    assert position(page) == 200
    assert "Lay sand over the line of 1." in page.inner_text("#said")


# Stops and words


def test_a_stop_is_gone_to_and_told(open_page: OpenPage) -> None:
    page = opened(open_page)
    page.get_by_role("button", name="Stop 2").click()
    assert position(page) == 300
    told = page.inner_text("#said")
    assert told.startswith("Stop 2: Trim 1 close.")
    assert f"The screen shows {RED}; keep this thread." in told
    current = page.locator("[aria-current=step]")
    assert current.count() == 1
    assert "Trim 1 close." in current.inner_text()
    page.click("#stop-before")
    assert position(page) == 200
    page.click("#stop-after")
    page.click("#stop-after")
    assert position(page) == COUNT


def test_the_words_are_said_to_screen_readers(open_page: OpenPage) -> None:
    page = opened(open_page)
    said = page.get_by_role("status").first
    assert said.get_attribute("aria-live") == "polite"
    assert said.inner_text() == "Start: Barn red sews 1: 200 stitches."
    go_to(page, 250)
    assert said.inner_text().startswith("Stop 1: Lay sand")
    assert page.get_attribute("#place", "aria-valuetext") == "stitch 250 of 400"
    go_to(page, COUNT)
    assert said.inner_text() == "All 400 stitches are sewn."
    go_to(page, COUNT - 1)
    assert said.inner_text().startswith("Stop 2: Trim 1 close.")
    assert "Picture of Two" in (page.get_attribute("#stage", "aria-label") or "")


# The picture


def test_thread_lies_where_it_has_been_sewn(open_page: OpenPage) -> None:
    page = opened(open_page)
    assert is_like(colour_at(page, 20.0, 10.0), GROUND)
    go_to(page, 100)  # The needle stands at x = 49.5.
    red = colour_at(page, 20.0, 10.0)
    assert red[0] > 2 * red[2]
    assert is_like(colour_at(page, 60.0, 10.0), GROUND)


def test_a_patch_lies_from_its_stop_on_and_is_trimmed_at_its_own(open_page: OpenPage) -> None:
    page = opened(open_page)
    middle, margin = (35.0, 35.0), (15.0, 35.0)
    go_to(page, 199)
    assert is_like(colour_at(page, *middle), GROUND)
    go_to(page, 200)
    assert is_like(colour_at(page, *middle), SAND)
    assert is_like(colour_at(page, *margin), SAND)
    go_to(page, 299)
    assert is_like(colour_at(page, *margin), SAND)
    go_to(page, 300)
    assert is_like(colour_at(page, *margin), GROUND)
    assert is_like(colour_at(page, *middle), SAND)
    go_to(page, 100)
    assert is_like(colour_at(page, *middle), GROUND)


def test_a_print_is_shown_at_its_true_size(open_page: OpenPage) -> None:
    """A swatch of 20 mm, half red and half blue, gives stripes of 10 mm."""
    stripes = np.zeros((4, 40, 3), np.uint8)
    stripes[:, :20], stripes[:, 20:] = (192, 48, 48), (32, 64, 192)
    stream = io.BytesIO()
    Image.fromarray(stripes).save(stream, "PNG")
    uri = f"data:image/png;base64,{base64.b64encode(stream.getvalue()).decode()}"
    square = shapely.box(0, 20, 100, 60)
    patch = Patch("1", "stripes", SAND, square, picture=uri, picture_mm=(20.0, 2.0))
    block = PlayedBlock(RED, "", "", (line(10.0),), (patch,))
    content = StitchOut("", GROUND, (0.0, 0.0, 100.0, 70.0), None, (Sitting("", None, (block,)),))
    page = opened(open_page, content)
    reds = [x for x in range(1, 100) if x % 10 and is_like(colour_at(page, x, 40.0), RED)]
    blues = [x for x in range(1, 100) if x % 10 and is_like(colour_at(page, x, 40.0), BLUE)]
    assert [x for x in range(1, 100) if x % 10 and x // 10 % 2 == 0] == reds
    assert [x for x in range(1, 100) if x % 10 and x // 10 % 2 == 1] == blues


def test_going_back_shows_what_playing_showed(open_page: OpenPage) -> None:
    content = many_discs(12_000, 9)
    page = opened(open_page, content)
    shown = []
    for stitch in (1, 3_000, 5_333, 5_340, 9_000, 12_000):
        go_to(page, stitch)
        shown.append((stitch, pixels(page)))
    assert len({picture for _, picture in shown}) == len(shown)
    for stitch, picture in reversed(shown):
        go_to(page, stitch)
        assert pixels(page) == picture
    # And a page that went there at once, or played all the way, is no different.
    afresh = opened(open_page, content)
    go_to(afresh, 9_000)
    assert pixels(afresh) == shown[4][1]
    afresh.select_option("#speed", "5000")
    afresh.click("#play")
    afresh.wait_for_function("() => stitchOut.player.point === 12000")
    settled(afresh)
    assert pixels(afresh) == shown[5][1]


def test_a_thread_is_as_wide_as_it_covers(open_page: OpenPage) -> None:
    """0.4 mm: by as much a pass of 40 wt thread is counted to cover (docs/proof.md)."""
    page = opened(open_page)
    go_to(page, 200)
    page.evaluate("() => { stitchOut.screen.look(20, 10, 40); stitchOut.player.told.moved(); }")
    settled(page)
    ground = np.array([int(GROUND[k : k + 2], 16) for k in (1, 3, 5)])
    steps = np.arange(9.5, 10.5, 0.0125)
    # Between two penetrations, where the strand lies free of their dips.
    column = np.array([colour_at(page, 20.25, float(y)) for y in steps])
    is_thread = np.abs(column - ground).max(axis=1) > 40
    assert is_thread.sum() * 0.0125 == pytest.approx(0.4, abs=0.05)
    middle = column[np.abs(steps - 10.0).argmin()]
    side = column[np.flatnonzero(is_thread)[2]]
    assert middle.sum() > side.sum()  # It is lit like a round strand.


# Many stitches


def test_a_hundred_thousand_stitches_play_smoothly(open_page: OpenPage) -> None:
    """At least 30 frames a second in 19 frames of 20, at the highest speed; measured once more if
    the machine was busy the first time. The benchmark asks for more, of a machine left alone."""
    content = many_discs(STITCHES)
    data = stitch_out_page(content)
    assert len(data) <= MOST_BYTES
    page = opened(open_page, content)
    assert min(page.evaluate(SEEK, STITCHES) for _ in range(2)) <= MOST_SEEK_MS
    found = [frames_a_second(page)]
    if found[0] < LEAST_FPS:
        found.append(frames_a_second(page))
    assert max(found) >= LEAST_FPS
    # Frames count only while it sews: 5,000 a second, less the rests at the stops.
    assert position(page) > 5_000


def frames_a_second(page: Page) -> float:
    lengths = np.diff(playing(page, "5000", 2_500))
    return round(1000 / float(np.percentile(lengths, 95)))
