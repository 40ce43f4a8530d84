"""Sheets of templates: every one on a page, at true size or marked."""

import numpy as np
import pytest

from applique.geometry.curves import flatten, polyline
from applique.paper.contact import ContactItem, contact_sheet
from applique.paper.drawing import Page, Path, Text
from applique.paper.sizes import sheet_mm

A4 = sheet_mm("a4")


def template(name: str, width: float, height: float) -> ContactItem:
    corners = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
    return ContactItem(name, "leaf, version 2", (polyline(corners, closed=True),))


def boxes(page: Page) -> list[tuple[float, float, float, float]]:
    """The outlines on a page."""
    found = []
    for item in page.items:
        if isinstance(item, Path) and item.fill:
            points = flatten(item.curves[0])
            found.append((*points.min(axis=0).tolist(), *points.max(axis=0).tolist()))
    return found


def words(page: Page) -> list[str]:
    return [item.text for item in page.items if isinstance(item, Text)]


def test_templates_stand_at_true_size_with_name_and_size() -> None:
    (page,), findings = contact_sheet([template("17", 80.0, 50.8)], A4)
    assert findings == ()
    (left, top, right, bottom), *_ = boxes(page)
    assert (right - left, bottom - top) == pytest.approx((80.0, 50.8))
    assert {"17", "leaf, version 2", "80 × 50.8 mm (3 1/8 × 2 in)"} <= set(words(page))
    assert {"50 mm", "1 inch", "page 1 of 1", "Templates, true size"} <= set(words(page))


def test_a_reduced_sheet_says_so_and_still_has_its_bars() -> None:
    (page,), _ = contact_sheet([template("17", 80.0, 50.0)], A4, scale=0.5, title="Sea")
    (left, _, right, _), *_ = boxes(page)
    assert right - left == pytest.approx(40.0)
    assert "Sea, drawn at 50 % of true size" in words(page)
    assert "50 mm" in words(page)


def test_all_templates_are_on_the_pages_in_their_order_and_apart() -> None:
    items = [template(str(k), 20.0 + 7 * (k % 5), 15.0 + 11 * (k % 7)) for k in range(40)]
    pages, findings = contact_sheet(items, A4)
    assert findings == ()
    names = [text for page in pages for text in words(page) if text.isdigit()]
    assert names == [str(k) for k in range(40)]
    for page in pages:
        found = boxes(page)
        for left, top, right, bottom in found:
            assert left >= 10 and top >= 10 and right <= 200 and bottom <= 287
        apart = [
            a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
            for k, a in enumerate(found)
            for b in found[:k]
        ]
        assert all(apart)


def test_what_is_larger_than_the_page_is_reduced_and_told() -> None:
    (page,), (finding,) = contact_sheet([template("17", 400.0, 100.0)], A4)
    (left, _, right, _), *_ = boxes(page)
    assert right - left == pytest.approx(188.0)
    assert "NOT TRUE TO SCALE: 47 %" in words(page)
    assert finding.severity == "warning" and finding.object == "17"
    assert "400 x 100 mm" in finding.message and "47 %" in finding.message


def test_wrong_sheets_are_refused() -> None:
    with pytest.raises(ValueError, match="must be above 0"):
        contact_sheet([], A4, scale=0.0)
    with pytest.raises(ValueError, match="'17' has no outline"):
        ContactItem("17", "", ())
    assert contact_sheet([], A4) == ((), ())
