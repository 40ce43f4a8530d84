"""What is worth a second look before it is cut."""

import time

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, affinity

from applique.cutting.doubts import doubts_of, gathered
from applique.geometry.rings import as_multipolygon
from applique.report import error, note, warning
from tests.cutting.pieces import cut_piece
from tests.shapes import circle, ellipse, polygon, rectangle, ring, square, star


def told(shape: MultiPolygon | str, **given) -> list[str]:
    return [finding.sentence() for finding in doubts_of([cut_piece(shape, "17", **given)])]


def dumbbell(neck_mm: float, length_mm: float = 10.0) -> MultiPolygon:
    neck = shapely.box(19, 10 - neck_mm / 2, 21 + length_mm, 10 + neck_mm / 2)
    return as_multipolygon(shapely.union_all([square(20), neck, square(20, 20 + length_mm)]))


@pytest.mark.parametrize(
    "shape", [square(20), circle(12), star(), ring(20, 8), ellipse(30, 10), dumbbell(3.2)]
)
def test_sound_pieces_give_no_doubt(shape: MultiPolygon) -> None:
    assert told(shape) == []


@pytest.mark.parametrize("turn", [0.0, 33.0, 90.0])
@pytest.mark.parametrize("length_mm", [0.5, 10.0, 60.0])
@pytest.mark.parametrize("neck_mm", [0.6, 2.0, 2.9])
def test_a_bridge_is_measured(neck_mm: float, length_mm: float, turn: float) -> None:
    (sentence,) = told(affinity.rotate(dumbbell(neck_mm, length_mm), turn))
    assert sentence == (
        f"17: it hangs together by only {neck_mm:.1f} mm in its middle, which may tear; "
        "make it wider there, or two pieces of it"
    )


def test_a_neck_between_two_notches_is_a_bridge_too() -> None:
    notched = polygon([(0, 0), (15, 8.7), (30, 0), (30, 20), (15, 11.3), (0, 20)])
    (sentence,) = told(notched)
    assert "only 2.6 mm in its middle" in sentence


def test_thin_walls_round_holes_are_bridges() -> None:
    eccentric = as_multipolygon(circle(20).difference(circle(8, 10.0)))
    (sentence,) = told(eccentric)
    assert "only 2.0 mm at its right" in sentence
    two_holes = as_multipolygon(circle(20).difference(circle(6, -7)).difference(circle(6, 7)))
    assert "only 2.0 mm in its middle" in told(two_holes)[0]


def test_tips_are_no_bridges_even_where_they_waver() -> None:
    needle = polygon([(0, 0), (60, 10), (0, 20)])
    wavering = [(60 - 0.5 * k, 10 + 0.05 * k + (0.1 if k % 2 else 0.0)) for k in range(1, 100)]
    assert told(needle) == []
    assert told(polygon([(0, 0), (60, 10), *wavering, (0, 20)])) == []


def test_every_bridge_is_told_of() -> None:
    squares = [square(20, 30 * k) for k in range(4)]
    necks = [rectangle(19 + 30 * k, 9, 12, 1 + 0.5 * k) for k in range(3)]
    sentences = told(as_multipolygon(shapely.union_all([*squares, *necks])))
    assert sorted(sentence.split(" mm")[0][-3:] for sentence in sentences) == ["1.0", "1.5", "2.0"]


@pytest.mark.parametrize(
    ("shape", "complaint"),
    [
        (rectangle(0, 0, 40, 5), "17: it is only 5.0 mm across, hard to cut and handle"),
        (square(9), "17: it has only 0.8 cm2, hard to cut and handle"),
        (rectangle(0, 0, 80, 2), "17: it is nowhere wider than 2.0 mm, hard to cut and handle"),
        (affinity.rotate(rectangle(0, 0, 40, 5), 45), "17: it is only 5.0 mm across"),
    ],
)
def test_small_pieces_are_told_of(shape: MultiPolygon, complaint: str) -> None:
    (sentence,) = told(shape)
    assert sentence.startswith(complaint)


def test_every_part_of_a_piece_is_looked_at() -> None:
    assert len(told(MultiPolygon([*square(20).geoms, *square(5, 40).geoms]))) == 1


def test_a_template_is_called_one_and_copies_are_told_of_once() -> None:
    pieces = [cut_piece(dumbbell(2.0), "17", kind="template")] * 3
    (finding,) = doubts_of(pieces)
    assert finding.sentence().startswith("17: its template hangs together")
    assert (finding.severity, finding.code) == ("warning", "thin-bridge")


def test_a_line_that_crosses_itself_is_an_error() -> None:
    (finding,) = doubts_of([cut_piece("M0 0 C60 40 -20 40 40 0 L40 -20 L0 -20 Z", "17")])
    assert (finding.severity, finding.object) == ("error", "17")
    assert "crosses or touches itself" in finding.message
    (finding,) = doubts_of([cut_piece("M0 0 H40 V40 H0 Z M30 10 H60 V20 H30 Z", "17")])
    assert finding.severity == "error"


@settings(max_examples=30, deadline=None)
@given(st.floats(0.5, 2.9), st.floats(4, 15), st.floats(4, 15), st.floats(0, 6.28))
def test_two_discs_and_a_bar(neck_mm: float, first: float, second: float, turn: float) -> None:
    """The width of the bar is what is told, whatever hangs on it."""
    bar = shapely.LineString([(0, 0), (40, 0)]).buffer(neck_mm / 2)
    both = shapely.union_all([bar, circle(first), circle(second, 40)])
    shape = as_multipolygon(affinity.rotate(both, np.degrees(turn)))
    bridges = [sentence for sentence in told(shape) if "hangs together" in sentence]
    assert len(bridges) == 1
    shown = float(bridges[0].split("only ")[1].split(" mm")[0])
    assert shown - 0.02 <= neck_mm <= shown + 0.12  # Rounded down to tenths.


@pytest.mark.parametrize(
    ("shape", "figure"),
    [
        (rectangle(0, 0, 9.8, 9.8), "only 0.9 cm2"),  # 0.9604 cm2
        (rectangle(0, 0, 40, 5.96), "only 5.9 mm across"),
        (rectangle(0, 0, 40, 5.999), "only 5.9 mm across"),
        (rectangle(0, 0, 40, 2.97), "nowhere wider than 2.9 mm"),
        (dumbbell(2.97), "only 2.9 mm in its middle"),
        (dumbbell(2.999), "only 2.9 mm in its middle"),
    ],
)
def test_figures_are_rounded_down(shape: MultiPolygon, figure: str) -> None:
    """What is too little is never told as the least that would do."""
    (sentence,) = told(shape)
    assert figure in sentence


def answered(shape: MultiPolygon | str) -> list[str]:
    """What is told of a shape in no more than 5 s: each took far longer, or failed, before bridges
    were looked for near by."""
    piece = cut_piece(shape, "17")
    begun = time.perf_counter()
    sentences = [finding.sentence() for finding in doubts_of([piece])]
    assert time.perf_counter() - begun < 5.0
    return sentences


def test_outlines_of_many_nodes_are_answered_soon() -> None:
    assert answered(star(3000, 200, 180)) == []
    turn = np.linspace(0, 2 * np.pi, 3000, endpoint=False)
    rough = (50 + 0.3 * np.sin(7919 * turn**2))[:, None] * np.column_stack(
        [np.cos(turn), np.sin(turn)]
    )
    crossing = np.vstack([rough, [[60, 30], [70, 0], [60, 0], [70, 30]]])
    assert answered(polygon(rough)) == []
    drawn = "M" + " L".join(f"{x:.4f} {y:.4f}" for x, y in crossing) + " Z"
    (sentence,) = answered(drawn)
    assert "crosses or touches itself" in sentence


def test_nine_hundred_holes_are_answered_soon() -> None:
    places = [(20.0 * (k % 30), 20.0 * (k // 30)) for k in range(900)]
    radii = np.where(np.arange(900) < 2, 8.6, 8.0)
    holes = shapely.union_all(shapely.buffer(shapely.points(places), radii))
    (sentence,) = answered(as_multipolygon(rectangle(-20, -20, 620, 620) - holes))
    assert "only 2.8 mm at its upper left" in sentence


def test_leaves_on_a_vine_hang_each_by_a_stalk() -> None:
    leaves = [circle(4, 10.0 * k, 8 * (-1) ** k) for k in range(30)]
    stalks = [rectangle(10 * k - 0.6, min(0, 8 * (-1) ** k), 1.2, 8) for k in range(30)]
    vine = as_multipolygon(shapely.union_all([*leaves, *stalks, rectangle(0, -0.8, 290, 1.6)]))
    assert len(answered(vine)) == 29


def test_warnings_alike_are_gathered() -> None:
    thin = [warning("thin-bridge", str(k), f"hangs by {k} mm", (1.0, 2.0)) for k in range(1, 17)]
    other = [warning("small-cut", "3", "is small"), note("read", "", "read")]
    assert gathered([*thin[:5], *other]) == [*thin[:5], *other]
    *kept, more = gathered([*other, *thin])
    assert kept == [*other, *thin[:5]]
    assert more == warning(
        "thin-bridge", "", "and 11 more like these: 6, 7, 8, 9, 10, 11, 12, 13 and 3 more"
    )
    assert gathered(thin[:4], most=2)[2].message == "and 2 more like these: 3, 4"


def test_what_is_gathered_names_a_piece_once_and_leaves_errors() -> None:
    twice = [warning("thin-bridge", "7", "hangs loosely")] * 8
    assert gathered(twice)[5:] == [warning("thin-bridge", "", "and 3 more like these: 7")]
    faults = [error("cut-crossing", str(k), "crosses") for k in range(9)]
    assert gathered(faults) == faults
