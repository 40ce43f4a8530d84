"""The data of the stitch-out page, packed and unpacked."""

from __future__ import annotations

import base64
import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from applique.pages.stitchout import stitch_out_page
from applique.pages.stitchout_data import moves_of, varints
from tests.pages.conftest import OpenPage
from tests.pages.sewn import many_discs
from tests.pages.stitching import (
    COUNT,
    opened,
    two_blocks,
)


@given(st.lists(st.integers(0, 2**35 - 1), max_size=50))
def test_whole_numbers_are_packed_as_published(numbers: list[int]) -> None:
    """As base-128 varints, the lowest seven bits first (Protocol Buffers, "Encoding")."""
    packed = varints(np.array(numbers, np.int64))
    found, value, shift = [], 0, 0
    for byte in packed:
        value |= (byte & 0x7F) << shift
        shift += 7
        if byte < 0x80:
            found.append(value)
            value = shift = 0
    assert found == numbers


def test_the_published_example_of_a_packed_number() -> None:
    """150 is 96 01 (Protocol Buffers, "Encoding", from memory); zigzag has -2 as 3 (same)."""
    assert varints(np.array([150])) == bytes([0x96, 0x01])
    assert moves_of([np.array([[5.0, 5.0], [4.8, 5.1]])]) == bytes([0, 0, 3, 2])


def test_the_page_unpacks_what_was_packed(open_page: OpenPage) -> None:
    content = many_discs(5_000, 4)
    page = opened(open_page, content)
    xs = page.evaluate("() => [...stitchOut.player.model.x]")
    ys = page.evaluate("() => [...stitchOut.player.model.y]")
    runs = [run for sitting in content.sittings for block in sitting.blocks for run in block.runs]
    everything = np.vstack(runs)
    assert np.stack([xs, ys], axis=1) == pytest.approx(everything, abs=0.0501)


def test_data_are_plain_json() -> None:
    text = stitch_out_page(two_blocks()).decode()
    block = text.split('type="application/json">')[1].split("</script>")[0]
    record = json.loads(block)
    assert len(record["patches"]) == 1
    assert len(base64.b64decode(record["moves"])) >= 2 * COUNT
