"""The sequence of hoopings: neighbours one after another, never against the sewing order."""

from hypothesis import given
from hypothesis import strategies as st

from applique.hoops.lining.sequence import in_sequence

FIELD = (128.0, 178.0)
NONE: frozenset[int] = frozenset()


def column(x: float) -> tuple[float, float, float, float]:
    return x, 0.0, x + 100.0, 150.0


def test_neighbours_follow_each_other() -> None:
    # Four columns, 100 mm apart, given out of their row: 0 and 200 share no room for a cross.
    boxes = [column(0), column(200), column(100), column(300)]
    order = in_sequence(boxes, [FIELD] * 4, [NONE] * 4)
    for place in range(1, 4):
        own = boxes[order[place]][0]
        assert min(abs(own - boxes[before][0]) for before in order[:place]) == 100.0


def test_what_must_come_first_does() -> None:
    boxes = [column(0), column(100), column(200)]
    assert in_sequence(boxes, [FIELD] * 3, [frozenset({2}), NONE, NONE])[0] in (1, 2)
    assert in_sequence(boxes, [FIELD] * 3, [frozenset({1}), frozenset({2}), NONE]) == [2, 1, 0]


@given(st.lists(st.tuples(st.floats(0, 400), st.booleans()), min_size=1, max_size=8))
def test_every_hooping_comes_once_and_after_those_it_waits_for(
    columns: list[tuple[float, bool]],
) -> None:
    waits = [
        frozenset({k - 1}) if chained and k else NONE for k, (_, chained) in enumerate(columns)
    ]
    order = in_sequence([column(x) for x, _ in columns], [FIELD] * len(columns), waits)
    assert sorted(order) == list(range(len(columns)))
    for k, before in enumerate(waits):
        assert all(order.index(b) < order.index(k) for b in before)
