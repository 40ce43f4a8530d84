"""The inspector of blanket stitches finds faults planted by hand, and names the place."""

import numpy as np
import pytest

from applique.model import EdgeRun
from applique.proof.blanket import BlanketProof, inspect_blanket
from applique.settings import resolve
from tests.shapes import rectangle

SHAPE = rectangle(0, 0, 40, 30)
RING = EdgeRun(np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)]), True)
SETTINGS = resolve({"edge": "blanket", "edge-spacing": 2.5})


def bites_by_hand() -> np.ndarray:
    """Outer and inner ends (2, n, 2) round a rectangle of 40 x 30 mm, reckoned without any of the
    code that sews: 2.5 mm apart, 0.2 mm out, 2.3 mm in, from the corner (0, 0) clockwise on the
    page (which has the fabric to the left, for y points down)."""
    corners = np.array([(0, 0), (40, 0), (40, 30), (0, 30), (0, 0)], dtype=float)
    inwards = np.array([(0, 1), (-1, 0), (0, -1), (1, 0)], dtype=float)
    outer, inner = [], []
    for side in range(4):
        start, stop, inward = corners[side], corners[side + 1], inwards[side]
        diagonal = inward + inwards[side - 1]
        outer.append(start - 0.2 * diagonal)
        inner.append(start + 2.3 * diagonal / np.sqrt(2))
        count = round(np.hypot(*(stop - start)) / 2.5)
        for k in range(1, count):
            place = start + (stop - start) * k / count
            outer.append(place - 0.2 * inward)
            inner.append(place + 2.3 * inward)
    return np.array([outer, inner])


def path_of(bites: np.ndarray, strokes: int = 1) -> np.ndarray:
    """A blanket stitch round the rectangle, with ties at its start and its end."""
    outer, inner = bites
    visits = [np.array([a, *[b, a] * strokes]) for a, b in zip(outer, inner, strict=True)]
    points = np.vstack([*visits, outer[:1]])
    tie = outer[0] + (0.8, 0)
    return np.vstack([[tie, outer[0], tie], points, [tie, outer[0], tie]])


def inspected(*bites: np.ndarray, strokes: int = 1) -> BlanketProof:
    paths = [path_of(each, strokes) for each in bites]
    return inspect_blanket(paths, SHAPE, [RING], SETTINGS)


def faultless(proof: BlanketProof) -> bool:
    lists = (proof.crossing, proof.off_fabric, proof.pivot_inside, proof.uneven_strokes)
    return not any(lists) and not proof.bare_corners and proof.askew_degrees.value < 1e-6


@pytest.mark.parametrize("strokes", [1, 2])
def test_a_good_one_has_no_fault(strokes: int) -> None:
    proof = inspected(bites_by_hand(), strokes=strokes)
    assert proof.bites == 2 * (40 + 30) / 2.5
    assert [len(side) for side in proof.pitches_mm] == [16, 12, 16, 12]
    assert np.concatenate(proof.pitches_mm) == pytest.approx(2.5)
    assert proof.unequal_percent.value == pytest.approx(0, abs=1e-6)
    assert proof.off_setting_percent.value == pytest.approx(0, abs=1e-6)
    assert faultless(proof)


def test_an_uneven_pitch() -> None:
    bites = bites_by_hand()
    bites[:, 5] += (0.5, 0)  # the bite at 12.5 mm along the upper side
    proof = inspected(bites)
    assert proof.unequal_percent.value == pytest.approx(100 * 1.0 / 2.5)
    assert proof.off_setting_percent.value == pytest.approx(100 * 0.5 / 2.5)
    assert proof.unequal_percent.place == pytest.approx((11.5, 0))  # of 3.0 mm, the next of 2.0
    assert faultless(proof)


def test_a_missing_bite_leaves_a_double_pitch() -> None:
    proof = inspected(np.delete(bites_by_hand(), 5, axis=1))
    assert proof.off_setting_percent.value == pytest.approx(100)
    assert proof.off_setting_percent.place == pytest.approx((12.5, 0))
    assert faultless(proof)


def test_a_pitch_that_is_even_but_not_as_set() -> None:
    settings = resolve({"edge": "blanket", "edge-spacing": 2.0})
    proof = inspect_blanket([path_of(bites_by_hand())], SHAPE, [RING], settings)
    assert proof.unequal_percent.value == pytest.approx(0, abs=1e-6)
    assert proof.off_setting_percent.value == pytest.approx(25)


@pytest.mark.parametrize("index", [5, 0], ids=["on a side", "at a corner"])
def test_a_crooked_bite(index: int) -> None:
    bites = bites_by_hand()
    way = bites[1, index] - bites[0, index]
    angle = np.radians(10)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    bites[1, index] = bites[0, index] + turn @ way
    proof = inspected(bites)
    assert proof.askew_degrees.value == pytest.approx(10, abs=0.01)
    assert proof.askew_degrees.place == pytest.approx(bites[0, index] + (0, 0.2), abs=0.3)


def test_a_corner_without_a_bite() -> None:
    proof = inspected(np.delete(bites_by_hand(), 16, axis=1))
    assert proof.bare_corners == ((40.0, 0.0),)


def test_bites_that_cross() -> None:
    bites = bites_by_hand()
    bites[1, 6] = bites[1, 4] + (-1, -0.5)  # leans back over the two before it
    assert len(inspected(bites).crossing) == 3


def test_a_bite_that_leaves_the_piece() -> None:
    thin = rectangle(0, 0, 40, 2)
    outer = np.stack([np.linspace(5, 35, 13), np.full(13, -0.2)], axis=1)
    inner = outer + np.array([0, 1.5])
    inner[4] += (0, 1.5)
    ring = EdgeRun(np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 2.0), (0.0, 2.0)]), True)
    proof = inspect_blanket([path_of(np.array([outer, inner]))], thin, [ring], SETTINGS)
    assert proof.off_fabric == (tuple(inner[4]),)


def test_a_pivot_in_the_fabric() -> None:
    bites = bites_by_hand()
    bites[0, 5] += (0, 0.5)
    assert inspected(bites).pivot_inside == ((12.5, 0.3),)


def test_a_bite_sewn_more_often_than_the_rest() -> None:
    bites = bites_by_hand()
    points = path_of(bites)
    again = [bites[1, 5], bites[0, 5]]
    after = int(np.flatnonzero(np.all(points == bites[0, 5], axis=1))[-1]) + 1
    proof = inspect_blanket([np.insert(points, after, again, axis=0)], SHAPE, [RING], SETTINGS)
    assert proof.uneven_strokes == (tuple(bites[0, 5]),)


def test_an_edge_without_any_stitch() -> None:
    proof = inspect_blanket([], SHAPE, [RING], SETTINGS)
    assert proof.bites == 0 and len(proof.bare_corners) == 4
    assert proof.off_setting_percent.value > 100


def test_an_open_edge_is_measured_from_its_ends() -> None:
    bites = bites_by_hand()[:, 1:16]  # the upper side between its corners
    run = EdgeRun(np.array([(0.0, 0.0), (40.0, 0.0)]), False)
    proof = inspect_blanket([path_of(bites)], SHAPE, [run], SETTINGS)
    assert proof.pitches_mm == (pytest.approx([2.5] * 16),)
    assert faultless(proof)
