"""Which pieces come before which: wherever fabric or stitches of two of them meet."""

from shapely.affinity import translate

from applique.layering.stack import lay
from applique.model import Block, Piece
from applique.sequence.precedence import Precedence, precedence
from applique.settings import resolve
from tests.shapes import piece, rectangle, square


def of(*pieces: Piece) -> Precedence:
    return precedence(lay(Block("", (0, 0), None, "", pieces, (), resolve({})))[0])


def test_of_two_pieces_that_overlap_the_lower_one_comes_first() -> None:
    found = of(
        piece(square(20)),
        piece(translate(square(20), 15, 0), label="2"),
        piece(translate(square(20), 30, 0), label="3"),
    )
    assert found.laying == {"1": set(), "2": {"1"}, "3": {"2"}}
    assert found.edges == found.laying


def test_pieces_apart_follow_any_order() -> None:
    found = of(piece(square(20)), piece(translate(square(20), 30, 0), label="2"))
    assert found.laying["2"] == found.edges["2"] == set()


def test_an_edge_that_reaches_onto_a_fabric_comes_before_or_after_it() -> None:
    # 0.8 mm apart: each satin reaches 1 mm outside its outline.
    found = of(piece(square(20)), piece(translate(square(20), 20.8, 0), label="2"))
    assert found.laying["2"] == found.edges["2"] == {"1"}


def test_edges_meet_where_fabrics_do_not() -> None:
    found = of(piece(square(20)), piece(translate(square(20), 21.5, 0), label="2"))
    assert found.laying["2"] == set()
    assert found.edges["2"] == {"1"}


def test_a_patch_is_in_the_way_of_what_it_covers() -> None:
    # 12.7 mm larger all round: common practice (docs/sources.md).
    for first, second in (("cut-in-hoop", "cut-first"), ("cut-first", "cut-in-hoop")):
        near, far = (
            of(
                piece(square(20), method=first),
                piece(translate(square(20), 20 + gap, 0), label="2", method=second),
            )
            for gap in (12.0, 14.0)
        )
        assert near.laying["2"] == {"1"}
        assert near.edges["2"] == far.laying["2"] == set()


def test_an_underlap_beneath_a_third_piece_counts() -> None:
    # The two lower ones lie 3 mm apart, but their underlaps meet beneath the strip.
    found = of(
        piece(square(20)),
        piece(translate(square(20), 23, 0), label="2"),
        piece(rectangle(14, -5, 15, 30), label="3"),
    )
    assert found.laying["2"] == {"1"}
