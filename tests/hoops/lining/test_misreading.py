"""The expected error, against scikit-image's rigid fit (Umeyama, 1991) of many misread crosses."""

import numpy as np
import pytest
from skimage.transform import estimate_transform

from applique.hoops.lining.misreading import expected_error_mm, link_of

LOTS = 2_000


def fitted(seen: np.ndarray, true: np.ndarray, places: np.ndarray) -> np.ndarray:
    """Places moved by the rigid movement that brings what was seen onto the truth as near as it
    goes."""
    return estimate_transform("euclidean", seen, true)(places)


@pytest.mark.parametrize("apart_mm", [40.0, 120.0])
def test_the_formula_is_what_drawing_lots_gives(apart_mm: float) -> None:
    crosses = np.array([[10.0, 20.0], [10.0 + 0.6 * apart_mm, 20.0 + 0.8 * apart_mm]])
    places = np.array([[10.0, 20.0], [100.0, -30.0], [-50.0, 90.0]])
    lots = np.random.default_rng(7)
    reading = 0.5
    # An error of root mean square 0.5 mm in the plane is 0.5 / sqrt(2) along each axis.
    misread = lots.normal(0, reading / np.sqrt(2), (LOTS, 2, 2))
    off = np.array([fitted(crosses + one, crosses, places) - places for one in misread])
    measured = np.sqrt((off**2).sum(axis=2).mean(axis=0))
    chain = (link_of(*crosses.tolist()),)
    assert expected_error_mm(chain, places, reading) == pytest.approx(measured, rel=0.05)


def test_worked_by_hand() -> None:
    # At a cross itself r = D / 2: reading * sqrt(1/2 + 1/4).
    chain = (link_of((0.0, 0.0), (100.0, 0.0)),)
    error = expected_error_mm(chain, np.array([[0.0, 0.0], [50.0, 0.0]]), 1.0)
    assert error == pytest.approx([np.sqrt(0.75), np.sqrt(0.5)])


def test_every_link_adds_its_square() -> None:
    one, other = link_of((0.0, 0.0), (80.0, 0.0)), link_of((100.0, 0.0), (100.0, 60.0))
    place = np.array([[150.0, 40.0]])
    both = expected_error_mm((one, other), place, 0.5)
    apart = [expected_error_mm((each,), place, 0.5) for each in (one, other)]
    assert both == pytest.approx(np.hypot(*apart))
    assert expected_error_mm((), place, 0.5) == pytest.approx([0.0])
