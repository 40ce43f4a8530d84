"""Covered runs on whole blocks: every bit of them lies beneath fabric that is laid later."""

from pathlib import Path

import numpy as np
import pytest
import shapely

from applique.files import read_svg
from applique.pipeline import make_layers
from applique.svg.read import Request, survey_block


@pytest.mark.parametrize("order", ["piece", "fewest"])
def test_travel_lies_beneath_fabric_that_is_laid_later(sample: Path, order: str) -> None:
    root = read_svg(sample).getroot()
    steps = make_layers(root, Request(settings={"order": order})).steps
    shapes = {piece.label: piece.outline.shape for piece in survey_block(root).block.pieces}
    for index, step in enumerate(steps):
        if step.kind != "travel":
            continue
        before, after = steps[index - 1].paths[-1][-1], steps[index + 1].paths[0][0]
        run = shapely.LineString(np.vstack([before, *step.paths, after]))
        laid = {earlier.piece for earlier in steps[:index]}
        later = shapely.union_all([shapes[label] for label in shapes.keys() - laid])
        # 0.1 mm is one step of the embroidery frame.
        assert shapely.covers(later.buffer(0.1), run)


def test_the_samples_have_travel_to_look_at() -> None:
    samples = Path(__file__).resolve().parent.parent.parent / "samples"
    kinds = [
        step.kind
        for path in sorted(samples.glob("*.svg"))
        for step in make_layers(read_svg(path).getroot()).steps
    ]
    assert kinds.count("travel") >= 5
