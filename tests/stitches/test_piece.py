"""A piece's steps by method, in their order."""

import numpy as np
import pytest

from applique.stitches.piece import sew
from tests.shapes import circle, laid, rectangle, ring, square, stitch_lengths


@pytest.mark.parametrize(
    ("given", "kinds"),
    [
        ({}, ["placement", "tack", "edge"]),
        ({"tack": "none"}, ["placement", "underlay", "edge"]),
        ({"edge": "blanket"}, ["placement", "edge"]),
        ({"method": "cut-in-hoop"}, ["placement", "trim-line", "tack", "edge"]),
        ({"method": "turned"}, ["placement", "edge"]),
        ({"method": "turned", "edge": "straight"}, ["placement", "edge"]),
    ],
)
def test_steps_by_method(given: dict, kinds: list[str]) -> None:
    steps, findings = sew(laid(square(40), **given))
    assert [step.kind for step in steps] == kinds
    assert findings == ()
    assert {step.piece for step in steps} == {"1"}


def test_tack_and_edge_are_sewn_on_without_a_trim() -> None:
    steps, _ = sew(laid(circle(20)))
    placement, tack, edge = steps
    assert (placement.links, tack.links, edge.links) == (("trim",), ("run",), ("trim",))
    gap = np.hypot(*(tack.paths[-1][-1] - edge.paths[0][0]))
    assert gap <= 4


def test_the_last_ring_tacked_is_the_first_one_edged() -> None:
    steps, _ = sew(laid(ring(20, 8)))
    tack, edge = steps[1:]
    assert len(tack.paths) == len(edge.paths) == 2
    assert np.hypot(*edge.paths[0].mean(axis=0)) < 1
    assert np.hypot(*edge.paths[0].T).max() < 12


def test_every_thread_end_is_tied() -> None:
    for given in ({}, {"edge": "blanket"}, {"method": "cut-in-hoop"}, {"method": "turned"}):
        steps, _ = sew(laid(ring(24, 8), **given))
        before = "trim"
        for step in steps:
            for path, link in zip(step.paths, step.links, strict=True):
                lengths = stitch_lengths(path)
                if before == "trim":
                    assert lengths[:3] == pytest.approx(0.8, abs=0.05)
                if link == "trim":
                    assert lengths[-3:] == pytest.approx(0.8, abs=0.05)
                before = link


def test_edges_sewn_last_are_tied_apart_from_the_tack() -> None:
    steps, _ = sew(laid(circle(20)), edges_last=True)
    assert [step.links for step in steps] == [("trim",), ("trim",), ("trim",)]


def test_a_hidden_piece_is_not_sewn() -> None:
    piece = laid(circle(20))
    hidden = type(piece)(**{**piece.__dict__, "hidden": True})
    assert sew(hidden) == ((), ())


def test_an_edge_that_does_not_fit_is_reported() -> None:
    steps, findings = sew(laid(rectangle(0, 0, 40, 4), edge="straight"))
    assert [step.kind for step in steps] == ["placement"]
    assert [finding.code for finding in findings] == ["narrow"]
