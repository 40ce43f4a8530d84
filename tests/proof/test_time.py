"""Sewing time, against published worked examples (docs/sources.md)."""

import numpy as np
import pytest

from applique.model import Thread, ThreadBlock
from applique.proof.time import Pace, sewing_time

RED, BLUE = Thread("#b2392f"), Thread("#2f6f8f")


def run(stitch_mm: float, penetrations: int) -> np.ndarray:
    return np.stack([np.arange(penetrations) * stitch_mm, np.zeros(penetrations)], axis=1)


def minutes(points: np.ndarray, speed: float) -> float:
    return sewing_time([ThreadBlock(RED, (points,))], Pace(speed)).sewing_minutes


def test_ten_thousand_stitches_at_a_thousand_a_minute_take_ten_minutes() -> None:
    """Printwear, March 2015, p. 61."""
    assert minutes(run(2.0, 10_000), 1000) == pytest.approx(10)


def test_six_heads_sew_252_thousand_stitches_an_hour() -> None:
    """6 heads x 700 a minute x 60 / 1000 (printwearmag.com)."""
    one_head = minutes(run(2.0, 252_000 // 6), 700)
    assert one_head == pytest.approx(60)


def test_1050_stitches_a_minute_at_12_an_inch_make_87_and_a_half_inches() -> None:
    """generations-quilt-patterns.com."""
    seam = run(25.4 / 12, 1050)
    assert minutes(seam, 1050) == pytest.approx(1)
    assert 1050 * (seam[1, 0] - seam[0, 0]) / 25.4 == pytest.approx(87.5)


def test_stops_and_trims_are_machine_time_and_laying_is_only_counted() -> None:
    blocks = [
        ThreadBlock(RED, (run(2, 300), run(2, 300)), "Lay sail."),
        ThreadBlock(RED, (run(2, 300),)),
        ThreadBlock(BLUE, (run(2, 300),)),
    ]
    time = sewing_time(blocks, Pace(600, stop_seconds=12, trim_seconds=6))
    assert (time.stitches, time.trims, time.pauses) == (1200, 4, 1)
    assert (time.thread_changes, time.stops) == (1, 2)
    assert time.sewing_minutes == pytest.approx(2)
    assert time.trimming_minutes == pytest.approx(0.4)
    assert time.stopping_minutes == pytest.approx(0.4)
    assert time.machine_minutes == pytest.approx(2.8)


def test_the_usual_stop_lies_within_the_published_6_to_20_seconds() -> None:
    blocks = [ThreadBlock(RED, (run(2, 10),)), ThreadBlock(BLUE, (run(2, 10),))]
    assert 6 / 60 <= sewing_time(blocks).stopping_minutes <= 20 / 60


def test_long_stitches_are_sewn_at_half_the_speed() -> None:
    assert minutes(run(7.0, 601), 600) == pytest.approx(601 / 600)
    assert minutes(run(7.1, 601), 600) == pytest.approx(1201 / 600)


def test_an_empty_block_takes_no_time() -> None:
    time = sewing_time([])
    assert (time.stitches, time.trims, time.stops, time.machine_minutes) == (0, 0, 0, 0)


@pytest.mark.parametrize(
    "wrong", [{"stitches_per_minute": 0}, {"long_stitch_speed": 0}, {"stop_seconds": -1}]
)
def test_impossible_paces_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"must be|can't be"):
        Pace(**wrong)
