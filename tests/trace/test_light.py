"""Light on a page: the sRGB curve, the paper's own light, where ink is."""

from __future__ import annotations

import numpy as np
import pytest

from applique.trace.light import LINEAR, Light, encoded, evened_out, ink_mask, paper_values


# IEC 61966-2-1: V / 12.92 up to 0.04045, ((V + 0.055) / 1.055)^2.4 above. The middle value 188 of
# 255 is the one that reflects half of the light; 128 reflects 21.6 %.
@pytest.mark.parametrize(
    ("value", "light"),
    [
        (0, 0.0),
        (10, 10 / 255 / 12.92),
        (11, 0.003347),
        (128, 0.215861),
        (188, 0.502886),
        (255, 1.0),
    ],
)
def test_values_decode_by_the_standard(value, light):
    assert LINEAR[value] == pytest.approx(light, abs=1e-6)


def test_both_parts_of_the_standard_meet():
    # At V = 0.04045 (10.3 of 255) both give 0.0031308, so that steps beside it are alike.
    below, above = 0.04045 / 12.92, ((0.04045 + 0.055) / 1.055) ** 2.4
    assert below == pytest.approx(above, abs=1e-6)
    assert LINEAR[11] - LINEAR[10] == pytest.approx(LINEAR[10] - LINEAR[9], rel=0.1)


def test_every_value_is_encoded_back():
    assert np.array_equal(encoded(LINEAR), np.arange(256))


def test_paper_is_told_under_a_line_and_a_shadow():
    # 300 dpi: a line of 2 mm across paper that gets darker from the left to the right.
    fall = np.linspace(240, 180, 1200)
    grey = np.tile(fall, (600, 1)).astype(np.uint8)
    grey[300:324] = 40
    paper = Light(grey, paper_values(grey, 25.4 / 300)).of_paper(np.array([(600.0, 312.0)]))
    assert paper[0] == pytest.approx(LINEAR[210], rel=0.06)


def test_ink_takes_three_tenths_of_the_papers_light():
    paper = np.full((4, 4), 230, np.uint8)
    limit = int(encoded(0.7 * LINEAR[230]))
    grey = np.full((8, 8), 230, np.uint8)
    grey[2, 2], grey[4, 4] = limit - 1, limit + 1
    assert np.argwhere(ink_mask(grey, paper)).tolist() == [[2, 2]]


def test_light_between_pixels_is_interpolated_in_linear_light():
    grey = np.array([[0, 255], [0, 255], [0, 255]], np.uint8)
    light = Light(np.pad(grey, 4, mode="edge"), np.full((1, 1), 255, np.uint8))
    # The pixels' middles lie at 4.5 and 5.5: halfway is 5.
    assert light.at(np.array([[(5.0, 5.5)]]))[0, 0] == pytest.approx(0.5, abs=1e-5)
    assert light.inked(np.array([(4.5, 5.5), (5.5, 5.5)])) == pytest.approx([1, 0], abs=1e-5)


def test_only_pictures_of_two_tones_are_evened_out():
    black_and_white = np.full((80, 80), 255, np.uint8)
    black_and_white[20:60, 20:60] = 0
    assert len(np.unique(evened_out(black_and_white))) > 2
    grey = np.clip(black_and_white, 40, 215)
    assert evened_out(grey) is grey
