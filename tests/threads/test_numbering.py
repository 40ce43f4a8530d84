"""Weights of threads against the published conversions."""

from __future__ import annotations

import pytest

from applique.threads.numbering import DENIER_A_TEX, grams_of, tex_of


def test_forty_weight_is_two_plies_of_120_denier() -> None:
    """Thread makers' tables: 40 wt, 120 den/2, 240 den, 26.67 tex, Nm 37.5, Ne 22.1."""
    tex = tex_of("40")
    assert tex == pytest.approx(26.67, abs=0.005)
    # The conversions of a thread maker's bulletin: Tex = Den/9 = dtex/10 = 1000/Nm = 590.54/Ne.
    assert tex * DENIER_A_TEX == pytest.approx(240)
    assert tex * 10 == pytest.approx(266.7, abs=0.05)
    assert 1000 / tex == pytest.approx(37.5)
    assert 590.54 / tex == pytest.approx(22.1, abs=0.05)


def test_fifty_metres_weigh_a_gram_and_a_third() -> None:
    """A worked example of the reference values: 50 m of 26.67 tex are 1.333 g."""
    assert grams_of(50, "40") == pytest.approx(1.333, abs=0.0005)


def test_the_higher_the_weight_the_finer_the_thread() -> None:
    assert tex_of("30") > tex_of("40") > tex_of("50") > tex_of("60")
    assert tex_of("80") == pytest.approx(tex_of("40") / 2)


@pytest.mark.parametrize("weight", ["0", "-40", "fine", ""])
def test_what_is_no_weight_is_refused(weight: str) -> None:
    with pytest.raises(ValueError, match=r"weight|invalid literal"):
        tex_of(weight)
