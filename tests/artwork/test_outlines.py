"""Outlines of whole artworks, against svgelements as an independent reader."""

from __future__ import annotations

import io
from functools import cache
from typing import Any

import numpy as np
import pytest
import shapely
import svgelements

from applique.artwork.bring import ImportRequest, import_artwork
from applique.artwork.place import Wanted
from tests.artwork.bringing import pieces
from tests.artwork.motifs import HARBOUR, SIZES, artwork, artwork_text

WITHIN_MM = 0.01


def dense(shape: svgelements.Shape) -> list[np.ndarray]:
    """Points along every sub-path as svgelements draws it. The points are transformed one by one,
    because its arcs don't survive being skewed."""
    lines: list[list[Any]] = []
    for segment in shape.segments(transformed=False):
        if isinstance(segment, svgelements.Move):
            lines.append([])
        else:
            lines[-1].extend(segment.point(t) for t in np.linspace(0, 1, 300))
    moved = [[shape.transform.point_in_matrix_space(p) for p in line] for line in lines]
    return [np.array([(p.x, p.y) for p in line]) for line in moved]


@cache
def read_by_others(text: str) -> list[list[np.ndarray]]:
    """Every shape's sub-paths as points, by svgelements; its units are of no concern."""
    document = svgelements.SVG.parse(io.StringIO(text), reify=False)
    shapes = [found for found in document.elements() if isinstance(found, svgelements.Shape)]
    return [dense(shape) for shape in shapes]


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_outlines_are_those_of_the_scaled_artwork(size: str) -> None:
    request = ImportRequest(Wanted(width_mm=200.0))
    imported = import_artwork(artwork(HARBOUR, size), request)
    drawn = read_by_others(artwork_text(HARBOUR, SIZES["px"]))
    everything = np.concatenate([line for shape in drawn for line in shape])
    low, high = everything.min(axis=0), everything.max(axis=0)
    scale = 200.0 / (high - low)[0]
    middle_mm = np.array(imported.placing.page_mm) / 2
    paths = pieces(imported)
    assert len(paths) == len(drawn) == 9
    for path, shape in zip(paths, drawn, strict=True):
        mine = dense(svgelements.Path(path.get("d")))
        assert len(mine) == len(shape)
        for line, other in zip(mine, shape, strict=True):
            mapped = (other - (low + high) / 2) * scale + middle_mm
            outline = shapely.LineString(line)
            assert shapely.hausdorff_distance(outline, shapely.LineString(mapped)) < WITHIN_MM
