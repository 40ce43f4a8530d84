"""Layers of thread, against Peirce's formula, the closed form of a satin and shapely's circles."""

import math

import numpy as np
import pytest
import shapely

from applique.proof import layers
from applique.proof.layers import THREAD_MM, thread_diameter_mm, thread_layers


def satin(width: float = 4.0, spacing: float = 0.4, count: int = 60, turn: float = 0) -> np.ndarray:
    """A satin round the origin, turned by so many degrees."""
    number = np.arange(count + 1)
    x = (number - count / 2) * spacing / 2
    points = np.stack([x, (number % 2 - 0.5) * width], axis=1)
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    return points @ np.array([[cos, sin], [-sin, cos]])


def test_embroidery_thread_is_about_a_fifth_of_a_millimetre() -> None:
    """Peirce, v = 1.1 cm3/g: 26.67 tex are 0.193 mm (docs/sources.md)."""
    assert pytest.approx(0.193, abs=0.0005) == THREAD_MM
    assert thread_diameter_mm(4 * 26.67) == pytest.approx(2 * thread_diameter_mm(26.67))


@pytest.mark.parametrize(("spacing", "layers"), [(0.4, 0.97), (0.5, 0.77), (0.2, 1.93)])
def test_a_satin_has_twice_the_thread_s_width_over_its_spacing(
    spacing: float, layers: float
) -> None:
    """Two passes a spacing: 2 d / s. A circle holds five passes or so, and that is not many: by
    where it lies it can be a tenth off."""
    found = thread_layers([satin(spacing=spacing)], ["1"])
    assert layers == pytest.approx(2 * THREAD_MM / spacing, abs=0.01)
    assert found.most == pytest.approx(layers, rel=0.1)
    assert found.pieces == ("1",)


def test_satins_across_one_another_add_up_and_are_named() -> None:
    paths = [satin(turn=turn) for turn in (0, 45, 90, 135)]
    far_off = satin() + np.array([0.0, 40.0])
    found = thread_layers([*paths, far_off], ["sail", "mast", "sail", "flag", "sun"])
    assert found.most == pytest.approx(4 * 0.97, rel=0.1)
    assert found.pieces == ("sail", "mast", "flag")
    assert found.place is not None
    assert math.hypot(*found.place) < 1.5


def test_the_thread_in_the_circle_is_what_shapely_finds_there() -> None:
    path = np.random.default_rng(7).uniform(0, 6, size=(80, 2))
    found = thread_layers([path], ["1"])
    assert found.place is not None
    circle = shapely.Point(found.place).buffer(0.5, quad_segs=256)
    thread = shapely.LineString(path)
    inside = sum(
        shapely.LineString(stitch).intersection(circle).length
        for stitch in np.stack([path[:-1], path[1:]], axis=1)
    )
    assert found.most == pytest.approx(inside * THREAD_MM / circle.area, rel=1e-3)
    assert thread.distance(shapely.Point(found.place)) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("paths", [[], [np.zeros((0, 2))], [np.zeros((1, 2))]])
def test_without_stitches_there_are_no_layers(paths: list[np.ndarray]) -> None:
    found = thread_layers(paths, ["1"] * len(paths))
    assert (found.most, found.place, found.pieces) == (0.0, None, ())


def test_thread_that_only_grazes_a_place_is_not_named_there() -> None:
    grazing = np.array([(-12.0, 2.6), (12.0, 2.6)])
    found = thread_layers([satin(), satin(turn=90), grazing], ["1", "2", "3"])
    assert found.pieces == ("1", "2")


def test_one_stitch_is_the_densest_place_where_there_is_no_other() -> None:
    """A circle round its middle holds its whole diameter of it, and no more."""
    found = thread_layers([np.array([(0.0, 0.0), (3.0, 0.0)])], ["1"])
    assert found.most == pytest.approx(1.0 * THREAD_MM / (math.pi / 4))
    assert found.place == (1.5, 0.0)


def test_circles_looked_at_a_few_at_a_time_give_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    paths = [satin(turn=turn) + turn / 60 for turn in (0, 45, 90, 135)]
    at_once = thread_layers(paths, list("1234"))
    monkeypatch.setattr(layers, "_AT_ONCE", 7)
    assert thread_layers(paths, list("1234")) == at_once
