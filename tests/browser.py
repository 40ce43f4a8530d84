"""Pages are looked at in a real browser: the fixtures of all tests that do so."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

DESKTOP = {"width": 1280, "height": 900}
PHONE = {"width": 390, "height": 844}

OpenPage = Callable[..., "Page"]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium as it is installed here; nothing is fetched."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        if os.environ.get("UNDERLAP_CI"):
            pytest.fail("Chromium is missing: CI must look at the pages")
        pytest.skip("Chromium is not installed here")
    from playwright.sync_api import sync_playwright  # Of no use to all other tests.

    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield running
        running.close()


@pytest.fixture
def open_page(browser: Browser, tmp_path: Path) -> Iterator[OpenPage]:
    """Opens a page from a file, with no network at all, at a size of window; any error of its
    scripts, and any request that leaves the file, fails the test."""
    contexts = []
    troubles: list[str] = []

    def opened(data: bytes, size: dict[str, int] = DESKTOP, touch: bool = False) -> Page:
        file = tmp_path / f"page-{len(contexts)}.html"
        file.write_bytes(data)
        context = browser.new_context(viewport=size, offline=True, has_touch=touch)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda problem: troubles.append(str(problem)))
        page.on("requestfailed", lambda request: troubles.append(request.url))
        page.goto(file.as_uri())
        return page

    yield opened
    for context in contexts:
        context.close()
    assert troubles == []
