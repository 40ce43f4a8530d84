"""Colours: published Lab values, names against an independent table, merging by hand."""

from __future__ import annotations

import pytest
import tinycss2.color4

from applique.artwork.colours import colour_name, difference, lab, palette_of
from applique.artwork.names import named_colours


@pytest.mark.parametrize(
    ("colour", "expected"),
    [
        # From the CSS Color 4 matrices, rounded to two digits, white D65.
        ("#ffffff", (100.0, 0.0, 0.0)),
        ("#000000", (0.0, 0.0, 0.0)),
        ("#ff0000", (53.24, 80.09, 67.20)),
        ("#00ff00", (87.73, -86.18, 83.18)),
        ("#0000ff", (32.30, 79.19, -107.86)),
        ("#808080", (53.59, 0.0, 0.0)),
    ],
)
def test_lab(colour: str, expected: tuple[float, float, float]) -> None:
    assert lab(colour) == pytest.approx(expected, abs=0.03)


def test_names_are_those_of_css() -> None:
    for name, colour in named_colours().items():
        red, green, blue = (
            round(255 * share)
            for share in list(tinycss2.color4.parse_color(name.replace(" ", "")))[:3]
        )
        assert colour == f"#{red:02x}{green:02x}{blue:02x}", name


def test_every_named_colour_is_called_by_its_name() -> None:
    assert all(colour_name(colour) == name for name, colour in named_colours().items())


def test_no_name_twice() -> None:
    fabrics = palette_of(["#2e8b57", "#2f9058", "#37845a"], 0.0).fabrics
    assert [fabric.name for fabric in fabrics.values()] == [
        "sea green",
        "sea green 2",
        "sea green 3",
    ]


def test_merging_is_by_distance_and_told() -> None:
    first, near, far = "#2e8b57", "#2f8c58", "#9c2f2f"
    assert difference(first, near) < 1 < difference(first, far)
    palette = palette_of([first, near, far, first], 2.0)
    assert palette.fabrics[near] is palette.fabrics[first]
    assert palette.fabrics[far].colour == far
    assert [finding.object for finding in palette.findings] == ["sea green"]
    assert near in palette.findings[0].message


def test_nothing_is_merged_at_zero() -> None:
    palette = palette_of(["#000000", "#000001"], 0.0)
    assert len({fabric.name for fabric in palette.fabrics.values()}) == 2
    assert palette.findings == ()


def test_no_colours_at_all() -> None:
    assert palette_of([], 2.0).fabrics == {}
