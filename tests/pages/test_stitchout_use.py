"""The stitch-out page in use: views, keys, fingers, readers."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from applique.pages.stitchout import stitch_out_page
from applique.pages.stitchout_content import PlayedBlock, Sitting, StitchOut
from tests.pages.conftest import DESKTOP, PHONE, OpenPage
from tests.pages.sewn import GROUND
from tests.pages.stitching import (
    COUNT,
    RED,
    go_to,
    line,
    opened,
    position,
    settled,
    two_blocks,
)


def test_the_view_is_enlarged_and_moved(open_page: OpenPage) -> None:
    page = opened(open_page)
    scale = "() => stitchOut.screen.view.scale"
    whole = page.evaluate(scale)
    page.click("#larger")
    assert page.evaluate(scale) == pytest.approx(1.5 * whole)
    page.click("#smaller")
    assert page.evaluate(scale) == pytest.approx(whole)
    box = page.locator("#stage").bounding_box()
    assert box is not None
    at = (box["x"] + 0.25 * box["width"], box["y"] + 0.5 * box["height"])
    page.mouse.move(*at)
    page.mouse.wheel(0, -600)
    page.wait_for_function(f"() => stitchOut.screen.view.scale > {1.5 * whole}")
    left = page.evaluate("() => stitchOut.screen.view.left")
    page.mouse.down()
    page.mouse.move(at[0] - 60, at[1], steps=3)
    page.mouse.up()
    moved = page.evaluate("() => stitchOut.screen.view.left") - left
    assert moved == pytest.approx(60 / page.evaluate(scale))
    page.click("#fit")
    assert page.evaluate(scale) == pytest.approx(whole)
    settled(page)


def test_keys_of_the_player(open_page: OpenPage) -> None:
    page = opened(open_page)
    page.focus("#stage")
    for key, there in (
        ("ArrowRight", 1), ("ArrowRight", 2), ("ArrowLeft", 1), ("PageDown", 200),
        ("PageDown", 300), ("PageUp", 200), ("End", COUNT), ("Home", 0),
    ):  # fmt: skip
        page.keyboard.press(key)
        assert position(page) == there, key
    page.keyboard.press(" ")
    assert page.inner_text("#play") == "Pause"
    page.keyboard.press(" ")
    assert page.inner_text("#play") == "Play"
    whole = page.evaluate("() => stitchOut.screen.view.scale")
    page.keyboard.press("+")
    page.keyboard.press("+")
    page.keyboard.press("-")
    assert page.evaluate("() => stitchOut.screen.view.scale") == pytest.approx(1.5 * whole)
    left = page.evaluate("() => stitchOut.screen.view.left")
    page.keyboard.press("Shift+ArrowRight")
    assert page.evaluate("() => stitchOut.screen.view.left") > left
    page.keyboard.press("0")
    assert page.evaluate("() => stitchOut.screen.view.scale") == pytest.approx(whole)


def test_controls_keep_their_own_keys(open_page: OpenPage) -> None:
    page = opened(open_page)
    page.focus("#play")
    page.keyboard.press(" ")
    assert page.inner_text("#play") == "Pause"
    page.keyboard.press("Enter")
    assert page.inner_text("#play") == "Play"
    page.focus("#place")
    before = position(page)
    page.keyboard.press("ArrowRight")
    assert position(page) == before + 1
    page.focus("#speed")
    page.keyboard.press("ArrowDown")
    assert page.input_value("#speed") == "1000"
    page.focus("#waits")
    page.keyboard.press(" ")
    assert page.is_checked("#waits")


def test_it_is_used_with_a_finger_on_a_phone(open_page: OpenPage) -> None:
    page = opened(open_page, size=PHONE, touch=True)
    assert page.evaluate("() => document.documentElement.scrollWidth") <= PHONE["width"]
    page.tap("#play")
    page.wait_for_function("() => Number(document.getElementById('place').value) > 5")
    page.tap("#play")
    for button in ("#play", "#stop-before", "#first", "#larger"):
        box = page.locator(button).bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 24  # WCAG 2.2, 2.5.8, target size (minimum)
    pinch(page)
    assert page.evaluate("() => stitchOut.screen.view.scale / stitchOut.screen.fits") > 1.8
    settled(page)


def pinch(page: Page) -> None:
    """Two fingers drawn apart to twice their distance about the stage's middle."""
    box = page.locator("#stage").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    browser = page.context.new_cdp_session(page)

    def touch(kind: str, away: float) -> None:
        points = [{"x": x - away, "y": y, "id": 1}, {"x": x + away, "y": y, "id": 2}]
        touches = [] if kind == "touchEnd" else points
        browser.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})

    touch("touchStart", 40)
    for away in (50, 60, 70, 80):
        touch("touchMove", away)
    touch("touchEnd", 80)


@pytest.mark.parametrize("size", [DESKTOP, PHONE], ids=["desktop", "phone"])
def test_nothing_stands_in_a_reader_s_way(open_page: OpenPage, size: dict[str, int]) -> None:
    page = opened(open_page, size=size)
    page.locator("summary").click()
    assert Axe().run(page).response["violations"] == []


def test_printed_it_is_the_picture_and_the_stops(open_page: OpenPage) -> None:
    page = opened(open_page)
    go_to(page, COUNT)
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 700, "height": 1000})  # A4 between its margins.
    assert not page.locator("#play").is_visible()
    assert not page.locator(".needle").is_visible()
    assert page.get_by_role("button", name="Stop 2").is_visible()
    stage, cloth = (page.locator(name).bounding_box() for name in ("#stage", ".cloth"))
    assert stage is not None
    assert cloth is not None
    assert cloth["width"] == pytest.approx(stage["width"], abs=1)
    assert cloth["height"] == pytest.approx(stage["height"], abs=1)


def test_the_stops_are_read_without_a_script() -> None:
    text = stitch_out_page(two_blocks()).decode()
    assert "Lay sand over the line of 1." in text
    assert "<noscript>" in text


def test_nothing_of_the_page_lies_elsewhere() -> None:
    text = stitch_out_page(two_blocks()).decode()
    assert "http://" not in text.replace("http://www.w3.org/2000/svg", "")
    assert "https://" not in text
    assert " src=" not in text


def test_the_same_sewing_gives_the_same_bytes() -> None:
    assert stitch_out_page(two_blocks()) == stitch_out_page(two_blocks())


def test_without_a_stitch_there_is_nothing_to_play() -> None:
    empty = StitchOut("", GROUND, (0.0, 0.0, 1.0, 1.0), None, (Sitting("", None, ()),))
    with pytest.raises(ValueError, match="nothing to play"):
        stitch_out_page(empty)


def test_words_of_the_user_s_can_t_end_the_data_early(open_page: OpenPage) -> None:
    block = PlayedBlock(RED, "", "", (line(10.0),), words='Lay </script><b>"it"</b> & go.')
    content = StitchOut("</script>", GROUND, (0.0, 0.0, 100.0, 20.0), None,
                        (Sitting("", None, (block,)),))  # fmt: skip
    page = opened(open_page, content)
    assert 'Lay </script><b>"it"</b> & go.' in page.inner_text("#said")
