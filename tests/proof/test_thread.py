"""Thread by geometry, against published formulas, worked examples and ratios (docs/sources.md)."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from applique.model import Thread, ThreadBlock
from applique.pipeline import read_plan
from applique.proof.thread import (
    BANDS,
    TAIL_MM,
    ThreadUse,
    plausible,
    seam_mm,
    swings,
    tails_use,
    thread_by_spool,
    thread_use,
)
from tests.conftest import TESTS
from tests.strategies import coordinates

INCH = 25.4
LAYERED = sorted((TESTS / "golden").glob("*-layers.svg"))


def run(stitch_mm: float, count: int) -> np.ndarray:
    return np.stack([np.arange(count + 1) * stitch_mm, np.zeros(count + 1)], axis=1)


def zigzag(width_mm: float, advance_mm: float, count: int) -> np.ndarray:
    """`advance_mm` from one stitch to the next; a satin of spacing s advances by s / 2."""
    number = np.arange(count + 1)
    return np.stack([number * advance_mm, (number % 2) * width_mm], axis=1)


def test_a_run_takes_what_the_worked_example_of_type_301_says() -> None:
    """C = 2 + 2TS; T = 0.01 in and 10 stitches an inch make 2.2 in of thread an inch
    (textilecalculations.com)."""
    use = thread_use([run(INCH / 10, 10)], thickness_mm=0.01 * INCH)
    assert use.total_mm / INCH == pytest.approx(2.2)
    assert use.needle_mm == pytest.approx(use.bobbin_mm)


@pytest.mark.parametrize(
    ("thickness", "per_cm", "ratio"), [(0.5, 5, 2.50), (0.6, 4, 2.48), (1.0, 5, 3.00)]
)
def test_runs_lie_about_the_published_ratio(thickness: float, per_cm: int, ratio: float) -> None:
    """1 : 2.5 for type 301 (a thread maker's table); the metric figures computed."""
    use = thread_use([run(10 / per_cm, per_cm * 10)], thickness)
    assert use.total_mm / 100 == pytest.approx(ratio)
    assert plausible("run", use, 100)


@pytest.mark.parametrize(("width", "ratio"), [(5.0, 5.27), (4.0, 4.57)])
@pytest.mark.parametrize("back_share", [0.0, 2 / 3])
def test_zigzags_lie_about_the_published_ratio(
    width: float, ratio: float, back_share: float
) -> None:
    """1 : 5.5 for type 304 (a thread maker's table); 4 stitches a cm, T = 1 mm, computed."""
    use = thread_use([zigzag(width, 2.5, 40)], 1.0, back_share)
    assert use.total_mm / 100 == pytest.approx(ratio, abs=0.005)
    assert plausible("zigzag", use, 100)


@pytest.mark.parametrize(("width", "metres"), [(3.0, 15.03), (3.5, 17.53), (4.0, 20.02)])
def test_a_metre_of_satin_takes_what_its_closed_form_says(width: float, metres: float) -> None:
    """2 sqrt(W^2 + (s/2)^2) / s with s = 0.4 mm, without thickness."""
    use = thread_use([zigzag(width, 0.2, 5000)], thickness_mm=0, back_share=0)
    assert use.needle_mm / 1000 == pytest.approx(metres, abs=0.005)


def test_two_thirds_of_a_satin_s_back_are_bobbin_thread() -> None:
    balanced = thread_use([zigzag(3.5, 0.2, 1000)], 0.8, back_share=0)
    satin = thread_use([zigzag(3.5, 0.2, 1000)], 0.8)
    top = thread_use([zigzag(3.5, 0.2, 1000)], 0, back_share=0).needle_mm
    assert satin.bobbin_mm == pytest.approx(top * 2 / 3)
    assert satin.total_mm == pytest.approx(balanced.total_mm)


def test_embroidery_takes_some_8_metres_in_1000_stitches() -> None:
    """5 m upper and 3 m lower thread, a maker's figure; here for a satin of usual width."""
    satin = thread_use([zigzag(3.0, 0.2, 1000)])
    assert plausible("embroidery", satin, 1000)
    assert not plausible("embroidery", satin + satin, 1000)
    assert BANDS["embroidery"].published * 1000 == 5000 + 3000


@pytest.mark.parametrize("path", LAYERED, ids=lambda path: path.stem)
def test_samples_take_about_what_a_thread_maker_tells(path: Path) -> None:
    """5 m of needle and 3 m of bobbin thread for 1,000 stitches (a maker's glossary), a band about
    each; of both together a quarter more or less."""
    plan, _ = read_plan(etree.parse(str(path)).getroot())
    used = sum(thread_by_spool(plan.blocks).values(), ThreadUse())
    assert 3 <= used.needle_mm / plan.stitch_count <= 7
    assert 2 <= used.bobbin_mm / plan.stitch_count <= 4
    assert plausible("embroidery", used, plan.stitch_count)


def test_the_rule_of_looks_would_leave_too_little_on_the_bobbin() -> None:
    """Two thirds of needle thread on a satin's back, against the maker's 3 m: why `BACK_SHARE` is
    less. A satin of 3.8 mm, as wide as the default with its pull compensation."""
    satin = [zigzag(3.8, 0.2, 1000)]
    assert thread_use(satin, back_share=2 / 3).bobbin_mm / 1000 < 2
    assert 2 < thread_use(satin).bobbin_mm / 1000 < 3


def test_stitches_that_turn_back_at_both_ends_go_across() -> None:
    assert swings(zigzag(2.0, 1.0, 6)).all()
    assert not swings(run(3.0, 6)).any()
    bite = np.array([(0, 0), (2.5, 0), (2.5, 2.5), (2.5, 0), (5, 0), (7.5, 0)])
    assert not swings(bite).any()


def test_a_seam_is_as_long_as_it_gets_on() -> None:
    assert seam_mm(run(3.0, 10)) == pytest.approx(30)
    assert seam_mm(zigzag(3.5, 0.2, 100)) == pytest.approx(20)


@pytest.mark.parametrize("points", [np.zeros((0, 2)), np.zeros((1, 2))])
def test_no_stitch_takes_no_thread(points: np.ndarray) -> None:
    assert thread_use([points]) == ThreadUse()
    assert thread_use([]) == ThreadUse()
    assert plausible("run", ThreadUse(), 0)


def test_threads_are_summed_by_spool_and_tails_apart() -> None:
    red, blue = Thread("#b2392f"), Thread("#2f6f8f")
    blocks = [
        ThreadBlock(red, (run(3, 10), run(3, 10)), "Lay sail."),
        ThreadBlock(blue, (run(2, 10),)),
        ThreadBlock(red, (run(3, 10),)),
    ]
    uses = thread_by_spool(blocks, thickness_mm=1)
    assert list(uses) == [red, blue]
    assert uses[red].needle_mm == pytest.approx(3 * (30 + 10))
    assert uses[blue].bobbin_mm == pytest.approx(20 + 10)
    assert tails_use(blocks) == ThreadUse(8 * TAIL_MM, 8 * TAIL_MM)


@pytest.mark.parametrize(("thickness", "share"), [(-0.1, 0.5), (float("nan"), 0.5), (1, 1.2)])
def test_impossible_layers_and_shares_are_refused(thickness: float, share: float) -> None:
    with pytest.raises(ValueError, match=r"must be|can't be"):
        thread_use([run(3, 4)], thickness, share)


@given(st.lists(st.tuples(coordinates, coordinates), min_size=2, max_size=30), st.floats(0, 3))
def test_the_tension_never_changes_the_sum(
    points: list[tuple[float, float]], thickness: float
) -> None:
    path = np.array(points)
    balanced, drawn = (thread_use([path], thickness, share) for share in (0.0, 1.0))
    assert drawn.total_mm == pytest.approx(balanced.total_mm)
    assert drawn.needle_mm >= drawn.bobbin_mm >= -1e-9
