"""The top put together."""

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from applique.quilt.project import Assembly, Strip
from applique.quilt.top import top_of

TEN = {"a": (254.0, 254.0), "b": (254.0, 254.0), "wide": (300.0, 254.0)}
widths = st.floats(5, 200)
assemblies = st.builds(
    Assembly,
    rows=st.lists(
        st.lists(st.sampled_from(["a", "b", "wide", ""]), min_size=1, max_size=4).map(tuple),
        min_size=1,
        max_size=4,
    ).map(tuple),
    sashing=st.none() | st.builds(Strip, width_mm=widths, fabric=st.just("dusk")),
    cornerstone=st.sampled_from(["", "sun"]),
    borders=st.lists(st.builds(Strip, width_mm=widths), max_size=3).map(tuple),
)


@given(assemblies)
def test_the_parts_cover_the_top_and_never_overlap(assembly: Assembly) -> None:
    top = top_of(assembly, TEN)
    if not any(name for row in assembly.rows for name in row):
        assert top is None
        return
    assert top is not None
    boxes = [
        shapely.box(it.left_mm, it.top_mm, it.left_mm + it.width_mm, it.top_mm + it.height_mm)
        for it in top.parts
    ]
    whole = shapely.box(0, 0, top.width_mm, top.height_mm)
    assert sum(box.area for box in boxes) == pytest.approx(whole.area)
    assert shapely.union_all(boxes).symmetric_difference(whole).area < 1e-6 * whole.area


def test_a_quilt_of_nine_blocks_in_closed_form() -> None:
    """3 blocks of 10 in, 2 sashes of 1 in, borders of 1 and 3 in: 3 x 10 + 2 + 2 x 4 = 40 in."""
    rows = (("a",) * 3,) * 3
    borders = (Strip(25.4, "dusk"), Strip(76.2, "night"))
    top = top_of(Assembly(rows, Strip(25.4, "dusk"), "sun", borders), TEN)
    assert top is not None
    assert (top.width_mm, top.height_mm) == (pytest.approx(1016), pytest.approx(1016))
    counts = [len(top.of_kind(kind)) for kind in ("block", "sashing", "cornerstone", "border")]
    assert counts == [9, 12, 4, 8]


def test_sashes_between_rows_run_through_without_cornerstones() -> None:
    top = top_of(Assembly((("a", "b"), ("b", "a")), Strip(25.4, "dusk")), TEN)
    assert top is not None
    level = [it for it in top.of_kind("sashing") if it.width_mm > it.height_mm]
    assert [it.width_mm for it in level] == [pytest.approx(2 * 254 + 25.4)]


def test_sides_come_before_top_and_bottom() -> None:
    top = top_of(Assembly((("a",),), borders=(Strip(50.0, "dusk"),)), TEN)
    assert top is not None
    sides = [(it.width_mm, it.height_mm) for it in top.of_kind("border")]
    assert sides == [(50, 254), (50, 254), (354, 50), (354, 50)]


def test_a_block_smaller_than_its_place_is_told_of() -> None:
    top = top_of(Assembly((("a",), ("wide",))), TEN)
    assert top is not None
    assert [finding.object for finding in top.findings] == ["a"]
    assert "254 x 254 mm in a place of 300 x 254 mm" in top.findings[0].message


def test_without_rows_or_sizes_there_is_no_top() -> None:
    assert top_of(Assembly(), TEN) is None
    assert top_of(Assembly((("a",),)), {}) is None
