"""Lines and spots as steps: where they run, how they are tied, what is joined."""

import math

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon

from applique.stitches.detail import sew_detail
from tests.shapes import circle, laid_detail, stitch_lengths

ARC = 30 * np.stack([np.cos(np.linspace(0, 1.5, 200)), np.sin(np.linspace(0, 1.5, 200))], axis=1)
STRAIGHT = np.array([(0.0, 0.0), (20.0, 0.0)])


def paths(drawn, style: str = "spot", **settings) -> tuple[np.ndarray, ...]:
    (step,), findings = sew_detail(laid_detail(drawn, style, **settings))
    assert findings == ()
    assert step.kind == "detail"
    return step.paths


def test_a_run_follows_its_line() -> None:
    (path,) = paths([(ARC, False)], "run")
    assert np.hypot(*path.T) == pytest.approx(30, abs=0.05)
    line = shapely.linestrings(path)
    assert shapely.hausdorff_distance(line, shapely.linestrings(ARC)) <= 0.11
    sewn = path[3:-3]
    assert sewn[0] == pytest.approx(ARC[0])
    assert sewn[-1] == pytest.approx(ARC[-1])


def test_stitches_of_a_run_are_as_long_as_asked_for() -> None:
    (path,) = paths([(STRAIGHT, False)], "run", detail_length=2.0)
    inner = stitch_lengths(path)[4:-4]
    assert inner == pytest.approx(2.0, abs=0.01)


def test_there_and_back_ends_where_it_began() -> None:
    (path,) = paths([(STRAIGHT, False)], "there-and-back")
    assert path[0] == pytest.approx(path[-1])
    # The needle holes of the way back are those of the way out.
    assert len({round(float(x), 3) for x, _ in path}) == 9 + 1
    assert path[:, 0].max() == 20


def test_the_thread_is_tied_at_both_ends() -> None:
    (path,) = paths([(STRAIGHT, False)], "run")
    lengths = stitch_lengths(path)
    assert lengths[:3] == pytest.approx(0.8)
    assert lengths[-3:] == pytest.approx(0.8)


def test_a_line_is_a_satin_as_wide_as_asked_for() -> None:
    (path,) = paths([(STRAIGHT, False)], "line", detail_width=2.0)
    assert np.ptp(path[:, 1]) == pytest.approx(2.0 + 2 * 0.15)
    satin = path[np.abs(path[:, 1]) > 0.9]
    # 0.4 mm from stitch to stitch on one side.
    assert len(satin) == pytest.approx(2 * 20 / 0.4, abs=4)
    assert stitch_lengths(path).min() >= 0.5


def test_the_satin_of_a_line_lies_on_a_run_there_and_back() -> None:
    (path,) = paths([(STRAIGHT, False)], "line")
    beneath = path[np.abs(path[:, 1]) < 0.05]
    assert beneath[:, 0].max() == 20
    first_of_satin = int(np.argmax(np.abs(path[:, 1]) > 0.5))
    assert math.dist(path[first_of_satin - 1], (0, 0)) < 2.6


def test_lines_apart_are_trimmed_and_lines_that_meet_are_not() -> None:
    onwards = np.array([(20.0, 0.0), (20.0, 9.0)])
    (step,), _ = sew_detail(laid_detail([(STRAIGHT, False), (onwards, False)], "run"))
    assert step.links == ("run", "trim")
    (step,), _ = sew_detail(laid_detail([(STRAIGHT, False), (onwards + 2.0, False)], "run"))
    assert step.links == ("trim", "trim")


def test_a_closed_line_is_sewn_all_round() -> None:
    ring = shapely.get_coordinates(circle(8))[:-1]
    (path,) = paths([(ring, True)], "run")
    assert shapely.Polygon(path).area == pytest.approx(math.pi * 64, rel=0.02)


def test_every_part_of_a_spot_is_sewn() -> None:
    dots = MultiPolygon([*circle(1.5).geoms, *circle(1.5, 20, 0).geoms])
    first, second = paths(dots)
    assert abs(second[:, 0].mean() - first[:, 0].mean()) == pytest.approx(20, abs=0.3)


def test_what_is_too_small_is_told_and_not_sewn() -> None:
    steps, (finding,) = sew_detail(laid_detail(circle(0.06), pull_compensation=0))
    assert steps == ()
    assert finding.code == "too-small"


def test_nothing_is_sewn_of_what_is_hidden() -> None:
    from dataclasses import replace

    assert sew_detail(replace(laid_detail(circle(2)), hidden=True)) == ((), ())
