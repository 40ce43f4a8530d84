"""What a block comes to, kept and read again."""

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from applique.model import Plan, Thread, ThreadBlock
from applique.proof.thread import TAIL_MM, THICKNESS_MM
from applique.proof.time import Pace
from applique.quilt.facts import BlockFacts, ThreadLength, facts_of
from applique.report import note, warning
from tests.quilt.made import facts

amounts = st.floats(0, 1e9, allow_nan=False)
sizes = st.tuples(st.floats(0.1, 9000), st.floats(0.1, 9000))
counts = st.integers(0, 10**7)
some_facts = st.builds(
    BlockFacts,
    name=st.text(),
    finished_mm=sizes,
    seam_allowance_mm=amounts,
    pieces=counts,
    stitches=counts,
    stops=counts,
    trims=counts,
    thread_changes=counts,
    hoopings=st.lists(sizes).map(tuple),
    machine_minutes=amounts,
    hand_minutes=amounts,
    threads=st.lists(
        st.builds(
            ThreadLength,
            name=st.text(),
            colour=st.just("#b2392f"),
            needle_m=amounts,
            bobbin_m=amounts,
        )
    ).map(tuple),
    background=st.text(),
    background_mm=sizes,
    errors=counts,
    warnings=counts,
    notes=counts,
)


@given(some_facts)
def test_facts_come_back_from_json_as_they_were(known: BlockFacts) -> None:
    assert BlockFacts.from_dict(json.loads(json.dumps(known.as_dict()))) == known


ODD = {
    "pieces": [-1, 1.5, True, None, "3"],
    "seam_allowance_mm": [-0.1, math.nan, math.inf, "6", None, True],
    "finished_mm": [[254.0], [254.0, 0.0], "254x254", [1, 2, 3], None],
    "hoopings": [[[1.0]], 3, {"a": 1}],
    "threads": [[["red", "#b2392f", 1.0]], [["red", 3, 1.0, 1.0]], [[1, "", -1.0, 0.0]], "red"],
    "name": [3, None],
}


@pytest.mark.parametrize(("key", "value"), [(k, v) for k, odd in ODD.items() for v in odd])
def test_odd_facts_are_refused(key: str, value: object) -> None:
    with pytest.raises(ValueError, match=r"no |must"):
        BlockFacts.from_dict(facts().as_dict() | {key: value})


@pytest.mark.parametrize("kept", [None, [], {}, {"name": "Gull"}, facts().as_dict() | {"more": 1}])
def test_other_things_are_no_facts(kept: object) -> None:
    with pytest.raises(ValueError, match="no facts"):
        BlockFacts.from_dict(kept)


RED, BLUE = Thread("#b2392f", "brick red"), Thread("#2f6f8f", "sea blue")


def line(length_mm: float) -> np.ndarray:
    """Stitches of 2 mm along a line."""
    return np.stack([np.arange(0.0, length_mm + 1, 2.0), np.zeros(int(length_mm // 2) + 1)], axis=1)


def made(*plans: Plan) -> BlockFacts:
    return facts_of(
        name="Gull",
        finished_mm=(254.0, 254.0),
        seam_allowance_mm=6.35,
        pieces=2,
        plans=plans,
        hand_minutes=12.0,
        hoopings=[(210.0, 310.0)] * len(plans),
        background="noon sky",
        background_mm=(292.1, 292.1),
        findings=[warning("a", "1", "odd"), note("b", "2", "taken")],
        pace=Pace(stitches_per_minute=600, stop_seconds=12, trim_seconds=6),
    )


def test_facts_of_two_hoopings() -> None:
    first = Plan("1", (0, 0), (ThreadBlock(RED, (line(100),)), ThreadBlock(BLUE, (line(60),))))
    second = Plan("2", (0, 0), (ThreadBlock(RED, (line(20), line(20))),))
    found = made(first, second)
    # 51 + 31 + 11 + 11 penetrations; 4 trims of 6 s, 1 stop of 12 s.
    assert (found.stitches, found.trims, found.stops) == (104, 4, 1)
    assert found.thread_changes == 2  # Red to blue, and back to red for the second hooping.
    assert found.machine_minutes == pytest.approx(104 / 600 + 4 * 0.1 + 0.2)
    assert (found.errors, found.warnings, found.notes) == (0, 1, 1)
    assert [thread.name for thread in found.threads] == ["brick red", "sea blue"]


def test_thread_is_the_formula_of_the_lockstitch_and_tails() -> None:
    """C = 2 + 2TS for type 301 (textilecalculations.com): half of it on either side."""
    found = made(Plan("1", (0, 0), (ThreadBlock(RED, (line(100),)),)))
    each_mm = 100 * (2 + 2 * THICKNESS_MM / 2.0) / 2 + 2 * TAIL_MM
    assert found.threads[0].needle_m == pytest.approx(each_mm / 1000)
    assert found.threads[0].bobbin_m == pytest.approx(each_mm / 1000)


def test_a_block_without_plans_takes_no_thread() -> None:
    assert made().threads == ()
    assert made().stops == 0
