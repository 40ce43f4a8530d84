"""Which shapes are tried together on a sheet."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from applique.nesting.choosing import even_choice

areas = st.lists(st.floats(1.0, 5000.0), min_size=1, max_size=60)


@given(areas, st.floats(0.0, 1.2), st.integers(0, 9))
def test_no_more_is_chosen_than_wanted_and_always_the_largest(
    sizes: list[float], share: float, turn: int
) -> None:
    wanted = share * sum(sizes) * (1 + 1e-12)
    chosen = even_choice(sizes, wanted, turn)
    assert chosen == sorted(set(chosen))
    assert max(sizes) in [sizes[k] for k in chosen]
    others = sum(sizes[k] for k in chosen) - max(sizes)
    assert others <= max(wanted - max(sizes), 0.0) + 1e-6


@given(areas, st.integers(0, 9))
def test_all_are_chosen_if_they_are_not_too_many(sizes: list[float], turn: int) -> None:
    assert even_choice(sizes, sum(sizes) * (1 + 1e-12), turn) == list(range(len(sizes)))


@given(areas, st.floats(0.1, 0.9), st.integers(0, 9))
def test_what_would_still_go_in_is_not_left(sizes: list[float], share: float, turn: int) -> None:
    wanted = share * sum(sizes)
    chosen = even_choice(sizes, wanted, turn)
    taken = sum(sizes[k] for k in chosen)
    assert all(taken + size > wanted - 1e-6 for k, size in enumerate(sizes) if k not in chosen)


def test_small_ones_are_left_for_the_sheets_to_come() -> None:
    sizes = [100.0] * 20 + [10.0] * 200  # Half of the area is in small ones.
    chosen = even_choice(sizes, 1000.0, 0)
    large = sum(k < 20 for k in chosen)
    assert 4 <= large <= 6
    assert sum(sizes[k] for k in chosen) == pytest.approx(1000.0)


def test_each_turn_chooses_otherwise_and_the_same_turn_the_same() -> None:
    sizes = [float(10 + k * k % 97) for k in range(60)]
    choices = [tuple(even_choice(sizes, 800.0, turn)) for turn in range(6)]
    assert len(set(choices)) >= 5
    assert choices == [tuple(even_choice(sizes, 800.0, turn)) for turn in range(6)]
