"""A photographed sheet becomes a flat page: small photos drawn with a camera that is known."""

from __future__ import annotations

import sys
from pathlib import Path

import cv2
import numpy as np
import pytest

from applique.trace.lens import Lens, homography, lens_of, mapped, page_doubt
from applique.trace.light import encoded
from applique.trace.sheet import flattened, look_for_sheet, shows_a_sheet

CARD_MM = (70.0, 90.0)
SIZE_PX = (600, 760)
TOOLS = Path(__file__).parents[3] / "shared" / "tools"


def corners_of(page_mm):
    return np.array([[0, 0], [page_mm[0], 0], page_mm, [0, page_mm[1]]], float)


def seen_by_camera(page_mm=CARD_MM, size_px=SIZE_PX, px_per_mm=7.2, tilt=(8.0, -7.0, 2.0)):
    """The corners (4, 2) in pixels of a page in the picture's middle, turned by degrees about the
    picture's axes; the focal length is 0.8 of the picture's diagonal."""
    turn, _ = cv2.Rodrigues(np.radians(tilt))
    focus = 0.8 * np.hypot(*size_px)
    flat = corners_of(page_mm) - np.array(page_mm) / 2
    away = np.column_stack([flat, np.zeros(4)]) @ turn.T + [0, 0, focus / px_per_mm]
    return away[:, :2] / away[:, 2:] * focus + np.array(size_px) / 2


CORNERS_PX = seen_by_camera()


def wood(height, width):
    """The light of a table with grain and a seam, (h, w)."""
    chance = np.random.default_rng(4)
    grain = chance.standard_normal((height // 3, width // 60))
    table = 0.2 * np.exp(0.12 * cv2.resize(grain, (width, height), interpolation=cv2.INTER_CUBIC))
    table[height // 2 : height // 2 + 5] *= 0.4
    return table


def turned(height, width, degrees):
    """Coordinates along and across a table's pattern, each (h, w)."""
    x, y = np.meshgrid(np.arange(width), np.arange(height))
    turn = np.radians(degrees)
    return x * np.cos(turn) + y * np.sin(turn), y * np.cos(turn) - x * np.sin(turn)


def cutting_mat(height, width):
    """The light of a mat with bright lines nearly along the sheet's sides, (h, w)."""
    along, across = turned(height, width, 4)
    return np.where((along % 66 < 3) | (across % 66 < 3), 0.5, 0.07)


def stripes(height, width):
    """The light of a cloth with broad stripes, (h, w)."""
    return np.where(turned(height, width, 2)[1] % 44 < 22, 0.05, 0.3)


def band(depth, middle_px=320, half_px=50, soft_px=2.0):
    """What an upright, narrow shadow leaves of the light, (h, w)."""
    aside = np.abs(np.arange(SIZE_PX[0]) + 0.5 - middle_px) - half_px
    return (1 - depth / (1 + np.exp(aside / soft_px)))[None] * np.ones((SIZE_PX[1], 1))


def photo(
    corners_px=CORNERS_PX,
    page_mm=CARD_MM,
    bow=0.0,
    size_px=SIZE_PX,
    table=0.1,
    marks=(),
    beside=(),
    shade=1.0,
):
    """A photo (h, w) of uint8 of a sheet on a table, with a shadow beside it, half of it in a
    hand's shade. `corners_px` are those that a straight lens would show; `marks` are rectangles of
    ink (left, top, right, bottom) in mm, `beside` quadrilaterals of bare paper in pixels, `shade`
    what more shadows leave of the light, (h, w)."""
    width, height = size_px
    x, y = np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5)
    lens = lens_of(size_px, bow)
    pixels = np.stack([x.ravel(), y.ravel()], axis=1)
    straight = lens.straightened(pixels) if bow else pixels
    light = np.full((height, width), table) if np.isscalar(table) else table.copy()
    for other in beside:
        cv2.fillConvexPoly(light, np.round(other).astype(np.int32), 0.75)
    to_page = np.linalg.inv(homography(corners_of(page_mm), corners_px))
    u, v = mapped(to_page, straight).T.reshape(2, height, width)
    deep = np.minimum(np.minimum(u, page_mm[0] - u), np.minimum(v, page_mm[1] - v))
    light *= 1 - 0.4 * np.exp(np.minimum(deep, 0) / 3)
    paper = np.full((height, width), 0.8)
    for left, top, right, bottom in marks:
        paper[(u > left) & (u < right) & (v > top) & (v < bottom)] = 0.05
    px_per_mm = np.sqrt(cv2.contourArea(corners_px.astype(np.float32)) / np.prod(page_mm))
    share = np.clip(deep * px_per_mm + 0.5, 0, 1)
    light = share * paper + (1 - share) * light
    light *= shade * (1 - 0.4 / (1 + np.exp(-(x + y - 0.6 * (width + height)) / 40)))
    light = cv2.GaussianBlur(light.astype(np.float32), (0, 0), 0.9)
    noise = np.random.default_rng(2).normal(0, 2, light.shape)
    return np.clip(encoded(light) + noise, 0, 255).round().astype(np.uint8)


def worst_error_mm(sheet, corners_px=CORNERS_PX, page_mm=CARD_MM, bow=0.0, size_px=SIZE_PX):
    """How far points all over the page are from where the sheet found has them."""
    share = np.stack(np.meshgrid(np.linspace(0, 1, 9), np.linspace(0, 1, 9)), -1).reshape(-1, 2)
    page = share * page_mm
    true = homography(corners_of(page_mm), corners_px)
    pixels = lens_of(size_px, bow).bent(mapped(true, page))
    return np.hypot(*(sheet.to_page(pixels) - page).T).max()


def test_homography_of_known_corners_in_closed_form():
    # A square whose far side is half as long as its near one, the textbook's trapezium.
    unit = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    seen = np.array([[0.0, 0.0], [2.0, 0.0], [1.5, 1.0], [0.5, 1.0]])
    expected = np.array([[2.0, 1.0, 0.0], [0.0, 2.0, 0.0], [0.0, 1.0, 1.0]])
    assert homography(unit, seen) == pytest.approx(expected)


@pytest.mark.parametrize("bow", [-0.03, 0.0, 0.03])
def test_lens_straightens_what_it_bends(bow):
    lens = Lens(np.array([50.0, 40.0]), 64.0, bow)
    points = np.array([[50.0, 40.0], [0.0, 0.0], [100.0, 3.0]])
    assert lens.bent(np.array([[114.0, 40.0]])) == pytest.approx(np.array([[114 + 64 * bow, 40]]))
    assert lens.straightened(lens.bent(points)) == pytest.approx(points)


@pytest.mark.parametrize("bow", [-0.02, 0.02])
def test_bow_and_scale_are_recovered(bow):
    sheet = look_for_sheet(photo(bow=bow), CARD_MM).sheet
    assert sheet is not None
    assert sheet.bow == pytest.approx(bow, abs=2e-4)
    # 0.05 % of the card's height is 0.045 mm
    assert worst_error_mm(sheet, bow=bow) < 0.02
    assert sheet.rms_px < 0.2
    assert sheet.remarks == ()


def test_wood_and_ink_at_the_sides_do_no_harm():
    marks = [(2, 30, 4, 60), (40, 0, 43, 20), (40, 70, 70, 72)]
    grey = photo(table=wood(SIZE_PX[1], SIZE_PX[0]), marks=marks)
    sheet = look_for_sheet(grey, CARD_MM).sheet
    assert sheet is not None
    assert worst_error_mm(sheet) < 0.03


def test_page_is_flattened_at_true_size():
    marks = [(10, 20, 30, 40), (40, 60, 60, 80)]
    grey = photo(bow=0.02, marks=marks)
    page = flattened(grey, look_for_sheet(grey, CARD_MM).sheet, mm_per_px=0.1)
    assert page.shape == (900, 700)
    _, ink = cv2.threshold(page, 110, 1, cv2.THRESH_BINARY_INV)
    _, _, boxes, middles = cv2.connectedComponentsWithStats(ink)
    # Pixel c covers c to c + 1, so a middle in whole numbers is half a pixel low.
    assert (middles[1:] + 0.5) * 0.1 == pytest.approx(np.array([[20, 30], [50, 70]]), abs=0.03)
    assert boxes[1:, 2:4] * 0.1 == pytest.approx(20, abs=0.25)


def test_flat_page_has_no_table_at_its_sides():
    grey = photo(bow=-0.02)
    page = flattened(grey, look_for_sheet(grey, CARD_MM).sheet)
    assert page.min() > 150


def test_sheet_that_lies_sideways_is_a_wide_page():
    corners = seen_by_camera((90.0, 70.0), (760, 600))
    sheet = look_for_sheet(photo(corners, (90.0, 70.0), size_px=(760, 600)), CARD_MM).sheet
    assert sheet is not None
    assert sheet.page_mm == (90.0, 70.0)
    assert worst_error_mm(sheet, corners, (90.0, 70.0), size_px=(760, 600)) < 0.02


def test_table_alone_shows_no_sheet():
    finding = look_for_sheet(encoded(wood(760, 600)), CARD_MM)
    assert finding.sheet is None
    assert finding.fault is not None
    assert "No sheet of paper stands out" in finding.fault


def test_two_sheets_are_told():
    size = (1080, 700)
    left = seen_by_camera(CARD_MM, size, 6.5, (0.0, 0.0, 2.0)) - np.array([265, 0])
    right = seen_by_camera(CARD_MM, size, 6.5, (0.0, 0.0, -1.0)) + np.array([265, 0])
    finding = look_for_sheet(photo(left, size_px=size, beside=[right]), CARD_MM)
    assert finding.fault is not None
    assert "more than one sheet" in finding.fault


@pytest.mark.parametrize("depth", [0.5, 0.75])
def test_narrow_shadow_across_a_sheet_does_not_make_two_of_it(depth):
    finding = look_for_sheet(photo(shade=band(depth)), CARD_MM)
    assert finding.fault is None
    assert worst_error_mm(finding.sheet) < 0.03


@pytest.mark.parametrize("pattern", [stripes, cutting_mat])
def test_pattern_of_the_table_is_no_side_of_the_sheet(pattern):
    finding = look_for_sheet(photo(table=pattern(SIZE_PX[1], SIZE_PX[0])), CARD_MM)
    assert finding.fault is None
    assert worst_error_mm(finding.sheet) < 0.03


def test_sheet_against_another_has_no_side_there():
    # The other one lies under this one's shadow, and no table shows between the two.
    upper_left, upper_right = CORNERS_PX[:2]
    away = np.array([0.0, -1000.0])
    beside = np.array([upper_left + away, upper_right + away, upper_right, upper_left])
    finding = look_for_sheet(photo(beside=[beside]), CARD_MM)
    assert finding.fault is not None
    assert "top side of the sheet can't be seen" in finding.fault


@pytest.mark.parametrize(
    ("shift", "side"), [((0, 150), "bottom"), ((-120, 0), "left"), ((100, 0), "right")]
)
def test_sheet_cut_off_is_told(shift, side):
    finding = look_for_sheet(photo(CORNERS_PX + shift), CARD_MM)
    assert finding.fault is not None
    assert f"cut off at the {side} side of the photo" in finding.fault


def test_small_sheet_is_told():
    finding = look_for_sheet(photo(CORNERS_PX * 0.6 + 120), CARD_MM)
    assert finding.fault is not None
    assert "too small in the photo" in finding.fault


def test_other_paper_is_told():
    # A photo straight from above: the sides are as those of the paper.
    a7 = (74.0, 105.0)
    grey = photo(np.array([45.0, 20.0]) + 6.8 * corners_of(a7), a7)
    papers = {"A7": a7, "card": CARD_MM}
    finding = look_for_sheet(grey, CARD_MM, papers)
    assert finding.fault is not None
    assert "has the proportions of A7 (74 × 105 mm)" in finding.fault
    assert look_for_sheet(grey, a7, papers).sheet is not None
    unknown = look_for_sheet(grey, (60.0, 105.0), {})
    assert unknown.fault is not None
    assert "doesn't have the proportions" in unknown.fault


def test_tilted_camera_leaves_the_paper_beyond_doubt():
    letter = (215.9, 279.4)
    seen = seen_by_camera(letter, (3000, 4000), 11.0, (16.0, 12.0, 0.0))
    doubts = [page_doubt(seen, lens_of((3000, 4000)), p) for p in (letter, (210.0, 297.0))]
    assert doubts[0] < 1
    assert doubts[1] > 4


def test_photo_and_scan_are_told_apart():
    assert shows_a_sheet(photo())
    cut_off = CORNERS_PX + np.array([0, 150])
    assert shows_a_sheet(photo(cut_off))
    # A scan: paper all over, and beyond its skewed edge the lid behind a thin shadow.
    scan = np.full((1650, 1275), 235, np.uint8)
    cv2.fillPoly(scan, [np.array([[0, 0], [60, 0], [0, 1400]])], 215)
    cv2.line(scan, (60, 0), (0, 1400), 150, 4)
    cv2.circle(scan, (600, 700), 200, 40, 12)
    assert not shows_a_sheet(scan)


@pytest.mark.skipif(not TOOLS.exists(), reason="the shared tools are not here")
def test_scans_of_the_shared_tool_count_as_scans(monkeypatch):
    monkeypatch.setattr(sys, "path", [str(TOOLS), *sys.path])
    make_scans = pytest.importorskip("make_scans")
    picture, _ = make_scans.make_page(77, 75, "letter", "scan", "normal")
    assert not shows_a_sheet(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY))
