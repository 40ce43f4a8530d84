"""The run sheet as a page, in a real browser."""

from __future__ import annotations

import io

import pdfplumber
import pytest
from axe_playwright_python.sync_playwright import Axe

from applique.pages.runsheet import run_sheet_page
from applique.paper.run_content import RunSheet
from tests.pages.conftest import DESKTOP, PHONE, OpenPage
from tests.runsheets import cases

LINKS = {"Stitch-out page": "stitch-out.html", "lighthouse.dst": "lighthouse.dst"}


def page_of(sheet: RunSheet) -> bytes:
    return run_sheet_page(sheet, LINKS)


SHEETS = {
    "one file": cases.block_sheet,
    "hoopings, many needles": lambda: cases.hooping_sheet(needles=4),
}


@pytest.mark.parametrize("size", [DESKTOP, PHONE], ids=["desktop", "phone"])
@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
def test_everybody_can_use_it(open_page: OpenPage, sheet, size: dict[str, int]) -> None:
    page = open_page(page_of(sheet()), size)
    assert Axe().run(page).response["violations"] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]


def test_every_stop_is_told_in_order(open_page: OpenPage) -> None:
    sheet = cases.block_sheet()
    page = open_page(page_of(sheet), PHONE)
    told = page.locator("ol.stops > li").all_inner_texts()
    assert len(told) == len(sheet.sittings[0].stops)
    for text, (_, stop) in zip(told, sheet.stops, strict=True):
        for words in (stop.sewn, stop.thread.words, *(task.words for task in stop.tasks)):
            assert words in text
        assert text.split()[0] == str(stop.number)
    named = page.get_by_role("checkbox", name="1 placement line of 1", exact=True)
    assert named.count() == 1


def test_letters_are_large_at_the_machine(open_page: OpenPage) -> None:
    page = open_page(page_of(cases.block_sheet()), PHONE)
    size = page.locator(".tasks li").first.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
    box = page.locator("input[type=checkbox]").first.bounding_box()
    assert size >= 18
    assert box is not None
    assert min(box["width"], box["height"]) >= 24


def test_ticks_are_counted_and_remembered(open_page: OpenPage) -> None:
    page = open_page(page_of(cases.block_sheet()), PHONE)
    page.check("#sitting-1-stop-2")
    page.check("#sitting-1-stop-3")
    assert page.locator("output").inner_text() == "2 of 31 done"
    page.reload()
    assert page.is_checked("#sitting-1-stop-2")
    assert page.locator("output").inner_text() == "2 of 31 done"
    page.get_by_role("button", name="Clear ticks").click()
    assert page.locator("input:checked").count() == 0


def test_links_lead_to_files_and_pages(open_page: OpenPage) -> None:
    page = open_page(page_of(cases.block_sheet()))
    assert page.get_by_role("link", name="Stitch-out page").get_attribute("href") == (
        "stitch-out.html"
    )
    heading = page.get_by_role("heading", name="All in one hooping")
    assert heading.get_by_role("link").get_attribute("href") == "lighthouse.dst"
    assert page.locator("nav a").count() == 1


def test_the_picture_is_told_to_those_who_do_not_see_it(open_page: OpenPage) -> None:
    page = open_page(page_of(cases.block_sheet()))
    picture = page.get_by_role("img", name="the block with the numbers of its pieces")
    assert picture.count() == 1
    assert {"1", "9", "17"} <= set(picture.locator("text").all_text_contents())


def test_it_prints_with_every_stop(open_page: OpenPage) -> None:
    sheet = cases.block_sheet()
    page = open_page(page_of(sheet))
    with pdfplumber.open(io.BytesIO(page.pdf(format="A4", prefer_css_page_size=True))) as printed:
        text = " ".join(" ".join(each.extract_text() for each in printed.pages).split())
        widths = {float(each.width) for each in printed.pages}
    assert all(width == pytest.approx(210 / 25.4 * 72, abs=1.0) for width in widths)
    at = 0
    for _, stop in sheet.stops:
        for task in stop.tasks:
            at = text.index(task.words, at)
    assert "Clear ticks" not in text


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert page_of(cases.block_sheet()) == page_of(cases.block_sheet())
