"""A drawing on several pages: nothing is left out, and the pages fit together."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box, union_all

from applique.paper.drawing import Drawing, Group, Item, Page, Path, Text, rectangle
from applique.paper.sizes import sheet_mm
from applique.paper.tiles import OVERLAP_MM, grid_for, tiles


def drawing(width: float, height: float, left: float = 30.0, top: float = -20.0) -> Drawing:
    whole = (left, top, left + width, top + height)
    return Drawing("Block", (rectangle(whole, stroke="#000000"),), whole)


def seen(page: Page) -> tuple[float, float, float, float]:
    """What a page shows, in the drawing's own coordinates."""
    group = next(item for item in page.items if isinstance(item, Group))
    (x, y), (left, top, right, bottom) = group.shift_mm, group.clip_mm
    return left - x, top - y, right - x, bottom - y


def words(items: tuple[Item, ...]) -> list[str]:
    return [item.text for item in items if isinstance(item, Text)]


@given(st.floats(5, 900), st.floats(5, 900), st.sampled_from(["a4", "letter"]), st.floats(-50, 50))
def test_all_of_the_drawing_is_on_some_page(
    width: float, height: float, paper: str, left: float
) -> None:
    whole = drawing(width, height, left)
    shown = union_all([box(*seen(page)) for page in tiles(whole, sheet_mm(paper))])
    assert shown.buffer(1e-6).contains(box(*whole.box_mm))


def test_neighbours_show_the_same_strip() -> None:
    pages = tiles(drawing(340.0, 100.0), sheet_mm("a4"))
    first, second = (seen(page) for page in pages[:2])
    assert first[2] - second[0] == pytest.approx(OVERLAP_MM)


def test_crosses_of_neighbours_coincide() -> None:
    """In the drawing's own coordinates the crosses on both sides of a join are the same."""

    def crosses(page: Page) -> set[tuple[float, float]]:
        (x, y) = next(item.shift_mm for item in page.items if isinstance(item, Group))
        found = set()
        for item in page.items:
            if isinstance(item, Path) and len(item.curves[0].segments) == 1:
                start, end = item.curves[0].segments[0][[0, 3]]
                if np.hypot(*(end - start)) == pytest.approx(6.0):
                    middle = (start + end) / 2 - [x, y]
                    found.add((round(float(middle[0]), 3), round(float(middle[1]), 3)))
        return found

    pages = tiles(drawing(400.0, 400.0), sheet_mm("a4"))
    grid = grid_for((400.0, 400.0), sheet_mm("a4"))
    assert len(pages) == grid.columns * grid.rows == 6
    for row in range(grid.rows):
        for column in range(grid.columns - 1):
            k = row * grid.columns + column
            assert len(crosses(pages[k]) & crosses(pages[k + 1])) == 2


def test_the_paper_lies_where_that_saves_pages() -> None:
    """A block of 10 in with its seam allowance, 266.7 mm, goes on two pages of A4."""
    grid = grid_for((266.7, 266.7), sheet_mm("a4"))
    assert (grid.page_mm, grid.columns, grid.rows) == ((297.0, 210.0), 1, 2)
    assert grid_for((266.7, 266.7), sheet_mm("letter")).columns == 1
    assert len(tiles(drawing(100.0, 100.0), sheet_mm("letter"))) == 1


def test_every_page_says_which_it_is_and_how_to_print_it() -> None:
    pages = tiles(drawing(340.0, 300.0), sheet_mm("a4"))
    assert [page.name for page in pages][:2] == [
        "Block: row 1, column 1 (A1)",
        "Block: row 1, column 2 (A2)",
    ]
    for page in pages:
        told = " ".join(words(page.items))
        assert "Print at 100 %, no fit to page." in told
        assert "hold a ruler to both bars: 50 mm and 1 inch" in told
        assert {"50 mm", "1 inch"} <= set(words(page.items))
    assert "meets A2 here" in words(pages[0].items)
    assert "meets A1 here" in words(pages[1].items)


def test_pages_without_anything_to_be_seen_are_left_out() -> None:
    whole = replace(drawing(900.0, 900.0, 0.0, 0.0), to_be_seen=(box(450, 450, 454, 454),))
    grid = grid_for((900.0, 900.0), sheet_mm("a4"))
    pages = tiles(whole, sheet_mm("a4"))
    assert 1 <= len(pages) <= 4
    assert all(box(*seen(page)).intersects(whole.to_be_seen[0]) for page in pages)
    assert {page.name for page in pages} < {
        page.name for page in tiles(drawing(900.0, 900.0), sheet_mm("a4"))
    }
    left_out = grid.columns * grid.rows - len(pages)
    assert f"{left_out} pages without pieces left out" in words(pages[0].items)
    names = {page.name.split("(")[1].rstrip(")") for page in pages}
    met = {text.split()[1] for page in pages for text in words(page.items) if "meets" in text}
    assert met <= names


def test_a_map_of_many_pages_leaves_room_for_the_name() -> None:
    whole = replace(drawing(9000.0, 9000.0, 0.0, 0.0), to_be_seen=(box(0, 0, 4, 4),))
    (page,) = tiles(whole, sheet_mm("a4"))
    assert page.name == "Block: row 1, column 1 (A1)"
