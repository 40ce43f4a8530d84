"""What of a detail is sewn beneath and beside the pieces of a block."""

import numpy as np
import pytest
from shapely.geometry import box

from applique.layering.details import lay_all, lay_details, sewn_shape
from applique.model import Block, Frame
from applique.settings import resolve
from tests.shapes import circle, detail, piece, rectangle

LINE = np.array([(0.0, 50.0), (100.0, 50.0)])


def block(details, pieces=(), frame: Frame | None = None, **wanted: str) -> Block:
    return Block("", (50, 50), frame, "", tuple(pieces), (), resolve(wanted), tuple(details))


def upper(x: float, y: float, width: float, height: float, **settings):
    return piece(rectangle(x, y, width, height), label="up", **settings)


def ends(laid) -> list[list[float]]:
    return [[round(float(x), 2) for x in sorted(line.points[[0, -1], 0])] for line in laid.lines]


def test_a_line_ends_a_millimetre_under_the_piece_above() -> None:
    line = detail([(LINE, False)], "run", under=frozenset({"up"}))
    (laid,) = lay_details(block([line], [upper(40, 40, 20, 20)]))
    assert ends(laid) == [[0, pytest.approx(41, abs=0.11)], [pytest.approx(59, abs=0.11), 100]]


def test_a_piece_below_covers_nothing() -> None:
    line = detail([(LINE, False)], "run")
    (laid,) = lay_details(block([line], [upper(40, 40, 20, 20)]))
    assert ends(laid) == [[0, 100]]


def test_a_closed_line_is_cut_in_one_place_only() -> None:
    ring = np.array([(50 + 30 * np.cos(t), 50 + 30 * np.sin(t)) for t in np.linspace(0, 6.2, 200)])
    line = detail([(ring, True)], "run", under=frozenset({"up"}))
    (laid,) = lay_details(block([line], [upper(70, 40, 20, 20)]))
    (stretch,) = laid.lines
    assert not stretch.closed
    assert stretch.points[[0, -1], 0] == pytest.approx([78.3, 78.3], abs=0.5)


def test_a_line_that_crosses_itself_stays_whole() -> None:
    loop = np.array([(0, 0), (30, 30), (30, 0), (0, 30), (0, 90)], dtype=float)
    line = detail([(loop, False)], "run", under=frozenset({"up"}))
    (laid,) = lay_details(block([line], [upper(-10, 60, 20, 20)]))
    assert [line.points[:, 1].min() for line in laid.lines] == [0, pytest.approx(79, abs=0.1)]


def test_a_spot_is_cut_by_the_piece_above() -> None:
    eye = detail(circle(3, 40, 50), under=frozenset({"up"}))
    (laid,) = lay_details(block([eye], [upper(40, 40, 20, 20)]))
    assert laid.shape.bounds[2] == pytest.approx(41, abs=0.01)


def test_a_hidden_detail_is_told_as_a_hidden_piece_is() -> None:
    eye = detail(circle(2, 50, 50), label="eye", under=frozenset({"up"}))
    laid, (finding,) = lay_all(block([eye], [upper(40, 40, 20, 20)]))
    assert laid[0].hidden
    assert (finding.code, finding.object) == ("hidden", "eye")


def test_a_line_ends_at_the_seam() -> None:
    line = detail([(LINE, False)], "run")
    (laid,) = lay_details(block([line], frame=Frame(10, 10, 80, 80, 6.35)))
    assert ends(laid) == [[pytest.approx(9, abs=0.11), pytest.approx(91, abs=0.11)]]


def test_with_edges_last_only_a_satin_hides_the_end_of_a_line() -> None:
    line = detail([(LINE, False)], "run", under=frozenset({"up"}))
    for edge, end in (("satin", 41), ("blanket", 40)):
        pieces = [upper(40, 40, 20, 20, edge=edge)]
        (laid,) = lay_details(block([line], pieces, edges="last"))
        assert ends(laid)[0][1] == pytest.approx(end, abs=0.11)


def test_details_stand_among_the_pieces() -> None:
    lower = piece(rectangle(0, 0, 90, 90), label="low")
    one = detail(circle(2, 20, 20), label="one", under=frozenset({"up"}))
    two = detail(circle(2, 50, 50), label="two")
    laid, _ = lay_all(block([one, two], [lower, upper(40, 40, 20, 20)]))
    assert [item.part.label for item in laid] == ["low", "one", "up", "two"]


def test_the_thread_of_a_line_takes_its_width() -> None:
    (laid,) = lay_details(block([detail([(LINE, False)], "line", detail_width=2)]))
    assert sewn_shape(laid).covers(box(0, 49, 100, 51))
