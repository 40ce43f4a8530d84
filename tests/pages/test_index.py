"""The quilt's index page and its shopping list, in a real browser."""

import base64
import io
import re
from dataclasses import replace

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from lxml import html
from PIL import Image

from applique.cutting.needed import FabricNeeded
from applique.model import Fabric
from applique.pages.index import index_page
from applique.pages.shopping import shopping_page
from applique.quilt.index_content import CutFabric, IndexBlock, IndexContent, Link, PrintLink
from applique.quilt.project import Assembly, FabricStock, Lining, Strip
from applique.quilt.top import top_of
from applique.quilt.totals import totals_of
from tests.pages.conftest import DESKTOP, PHONE, OpenPage
from tests.quilt.made import entry, facts, project

NAMES = ("Gull", "Whale & calf", "Low tide", "Möwe <1>")
ASSEMBLY = Assembly(
    rows=(NAMES[:2], NAMES[2:]),
    sashing=Strip(25.4, "night"),
    cornerstone="sun",
    borders=(Strip(76.2, "sea blue"),),
    binding=Strip(63.5, "night"),
    backing=Lining(1066.8, 100.0),
)
STOCKS = (
    FabricStock(Fabric("noon sky", "#bcd9e8")),
    FabricStock(Fabric("night", "#1b2a41"), price_a_metre=12.5),
    FabricStock(Fabric("sea blue", "#2f6f8f")),
)


def content(**changed: object) -> IndexContent:
    """A quilt of four blocks, one of which could not be built."""
    known = {name: facts(name) for name in NAMES[:3]}
    plan = project(
        *(entry(name, week=k // 2 + 1) for k, name in enumerate(NAMES)),
        assembly=ASSEMBLY,
        stocks=STOCKS,
    )
    nested = [FabricNeeded("sea blue", 90, 1.0e6, 1016.0, 700.0)]
    papers = ("layers", "proof", "run sheet", "run sheet to print", "stitch-out", "card")
    links = tuple(Link(words, f"gull/{words.replace(' ', '-')}.html") for words in papers)
    blocks = tuple(
        IndexBlock(
            name,
            copies=1,
            week=1,
            facts=known.get(name),
            links=links if name in known else (),
            told=("8: rock will shadow through lime wash; line it",) if name == "Gull" else (),
        )
        for name in NAMES
    )
    made = IndexContent(
        totals=totals_of(plan, known, nested),
        top=top_of(ASSEMBLY, {name: it.finished_mm for name, it in known.items()}),
        blocks=blocks,
        colours={stock.fabric.name: stock.fabric.colour for stock in STOCKS},
        binding="night",
        cut=(CutFabric("sea blue", (Link("sheet 1", "cut/sea-blue-1.svg"),)),),
        links=(Link("Shopping list", "shopping.html"),),
        told=("the stabiliser is reckoned in one layer",),
    )
    return replace(made, **changed)  # type: ignore[arg-type]


def hrefs(data: bytes) -> list[str]:
    tree = html.fromstring(data.decode("utf-8"))
    return [str(it) for it in tree.xpath("//@href | //@src")]


@pytest.mark.parametrize("size", [DESKTOP, PHONE], ids=["desktop", "phone"])
@pytest.mark.parametrize("name", ["index", "shopping"])
def test_the_pages_can_be_used_by_all(open_page: OpenPage, name: str, size: dict[str, int]) -> None:
    data = index_page(content()) if name == "index" else shopping_page(content().totals)
    page = open_page(data, size)
    assert Axe().run(page).response["violations"] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]


def test_all_links_are_relative() -> None:
    found = hrefs(index_page(content()))
    assert "gull/run-sheet.html" in found
    assert "shopping.html" in found
    assert not [it for it in found if re.match(r"[a-z]+:|/|\.\.", it)]


@pytest.mark.parametrize(
    "href", ["/etc/x", "https://a.example/", "file:x", "../up.html", "a/../../b", "a\\b", "//x"]
)
def test_other_links_are_refused(href: str) -> None:
    with pytest.raises(ValueError, match="no link to a file"):
        Link("words", href)


def test_every_block_of_the_quilt_leads_to_its_row(open_page: OpenPage) -> None:
    page = open_page(index_page(content()))
    places = page.locator("svg.quilt a")
    assert places.count() == 4
    for k, name in enumerate(NAMES):
        target = places.nth(k).get_attribute("href")
        assert target is not None
        assert name in page.locator(target).inner_text()
    places.nth(2).click()
    assert page.evaluate("document.querySelector(':target').innerText").startswith("Low tide")


def test_fabrics_lie_where_they_are_sewn(open_page: OpenPage) -> None:
    """The colours at a border, a sash and the binding, as Chromium paints them."""
    page = open_page(index_page(content()))
    svg = page.locator("svg.quilt")
    image = Image.open(io.BytesIO(svg.screenshot())).convert("RGB")
    wide = 2 * 254 + 25.4 + 2 * 76.2 + 16  # Blocks, sash, borders, and the binding as drawn.
    scale = min(image.size) / wide
    left, top = ((side - wide * scale) / 2 for side in image.size)

    def colour(x_mm: float, y_mm: float) -> str:
        pixel = image.getpixel((round(left + (x_mm + 8) * scale), round(top + (y_mm + 8) * scale)))
        return "#{:02x}{:02x}{:02x}".format(*pixel)  # type: ignore[misc]

    assert colour(40, 300) == "#2f6f8f"  # A border.
    assert colour(76.2 + 254 + 12.7, 200) == "#1b2a41"  # The sash between two blocks.
    assert colour(-4, 300) == "#1b2a41"  # The binding.


def test_a_print_is_shown_at_its_true_size(open_page: OpenPage) -> None:
    """Stripes of 20 mm on the border, counted down its whole length."""
    pixels = np.full((40, 40, 3), (250, 250, 250), dtype=np.uint8)
    pixels[:20] = (20, 20, 20)
    held = io.BytesIO()
    Image.fromarray(pixels).save(held, "PNG")
    shown = PrintLink("stripes.png", 40.0, 40.0)
    data = index_page(content(prints={"sea blue": shown}))
    inside = b"data:image/png;base64," + base64.b64encode(held.getvalue())
    svg = open_page(data.replace(b"stripes.png", inside)).locator("svg.quilt")
    image = np.asarray(Image.open(io.BytesIO(svg.screenshot())).convert("L"))
    height_mm = 2 * 254 + 25.4 + 2 * 76.2 + 16
    scale = min(image.shape) / height_mm
    left = (image.shape[1] - height_mm * scale) / 2
    column = image[:, round(left + 48 * scale)] < 128
    changes = np.flatnonzero(column[1:] != column[:-1])
    steps = np.diff(changes)[2:-2]
    assert len(steps) > 20
    assert np.mean(steps) == pytest.approx(20 * scale, rel=0.02)


def test_the_numbers_are_on_the_page(open_page: OpenPage) -> None:
    text = open_page(index_page(content())).locator("main").inner_text()
    assert "685.8 x 685.8 mm (27 x 27 in)" in text
    assert "30,000" in text
    assert "1 h 30 min" in text
    assert "not built" in text
    assert "the stabiliser is reckoned in one layer" in text
    assert "border 1: 3 strips 88.9 mm (3.5 in) wide" in text


def test_things_are_ticked_off_by_their_words(open_page: OpenPage) -> None:
    page = open_page(shopping_page(content().totals), PHONE)
    box = page.get_by_label("sea blue")
    assert not box.is_checked()
    page.get_by_text("sea blue").first.click()
    assert box.is_checked()
    assert page.locator("input[type=checkbox]").count() == page.locator(".shopping > li").count()


def test_a_quilt_without_rows_shows_its_blocks(open_page: OpenPage) -> None:
    dot = "data:,"  # No picture: what matters is that it leads somewhere.
    blocks = tuple(replace(it, picture=f"{k}.png") for k, it in enumerate(content().blocks))
    data = index_page(content(top=None, blocks=blocks))
    page = open_page(re.sub(rb'src="\d\.png"', f'src="{dot}"'.encode(), data))
    assert page.locator("figure a").count() == 4
    assert page.locator("svg.quilt").count() == 0


def test_it_prints_on_paper(open_page: OpenPage) -> None:
    page = open_page(index_page(content()))
    page.emulate_media(media="print")
    assert page.locator("td.files").first.is_hidden()
    assert page.locator("dl").first.is_visible()


def test_the_same_quilt_gives_the_same_bytes() -> None:
    assert index_page(content()) == index_page(content())
    assert shopping_page(content().totals) == shopping_page(content().totals)
