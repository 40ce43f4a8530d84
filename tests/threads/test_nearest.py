"""The nearest spool against trying every one with an independent library."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.color import deltaE_ciede2000, rgb2lab

from applique.threads.nearest import nearest_spool
from applique.threads.spool import Spool
from applique.threads.table import usual_spools

colours = st.integers(0, 0xFFFFFF).map("#{:06x}".format)


def reference(colour: str) -> list[float]:
    pairs = [(colour, spool.colour) for spool in usual_spools()]
    rgb = np.array([[[int(c[k : k + 2], 16) for k in (1, 3, 5)] for c in pair] for pair in pairs])
    lab = rgb2lab(rgb / 255)
    return list(deltaE_ciede2000(lab[:, 0], lab[:, 1]))


@given(colours)
def test_no_spool_is_nearer(colour: str) -> None:
    spools = usual_spools()
    differences = reference(colour)
    chosen = spools.index(nearest_spool(colour, spools))
    assert differences[chosen] == pytest.approx(min(differences), abs=0.05)


def test_of_equals_the_first_is_taken() -> None:
    spools = [Spool("far", "#ffffff"), Spool("first", "#203040"), Spool("second", "#203040")]
    assert nearest_spool("#213040", spools).name == "first"


def test_a_colour_that_is_there_is_taken_itself() -> None:
    assert nearest_spool("#2f6f8f", usual_spools()).name == "harbour blue"


def test_without_spools_there_is_nothing_to_choose() -> None:
    with pytest.raises(ValueError, match="no threads"):
        nearest_spool("#2f6f8f", [])
