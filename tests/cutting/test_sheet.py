"""Sheets: nothing overlaps, everything is on the sheet, the labels can be read."""

import numpy as np
import pytest
import shapely
from shapely import Polygon

from applique.cutting.outlines import cut_lines
from applique.cutting.sheet import GAP_MM, MARGIN_MM, SHEET_WIDTH_MM, Sheet, sheet_of
from applique.geometry.curves import flatten, polyline
from applique.model import CutLine
from tests.shapes import circle, laid, ring, square, star


def sheet(face: str = "wrong", **given) -> Sheet:
    shapes = [square(60), circle(30), star(), ring(20, 8), square(4), star(7, 40, 20)]
    pieces = [laid(shape, label=str(k), **given) for k, shape in enumerate(shapes, start=1)]
    return sheet_of("sea blue", cut_lines(pieces, {}), face)  # type: ignore[arg-type]


def shapes_of(made: Sheet) -> list[Polygon]:
    cuts = (*made.cuts, *made.templates)
    return [Polygon(flatten(max(cut.curves, key=_extent))) for cut in cuts]


def _extent(curve) -> float:
    return float(np.ptp(curve.segments[:, 0, 0]))


@pytest.mark.parametrize("face", ["right", "wrong"])
@pytest.mark.parametrize("method", ["cut-first", "turned", "cut-in-hoop"])
def test_pieces_lie_apart_on_the_sheet(face: str, method: str) -> None:
    made = sheet(face, method=method)
    shapes = shapes_of(made)
    for k, first in enumerate(shapes):
        for second in shapes[k + 1 :]:
            assert first.distance(second) >= GAP_MM - 0.1
    left, top, right, bottom = shapely.union_all(shapes).bounds
    assert left >= MARGIN_MM - 0.1
    assert top >= MARGIN_MM
    assert right <= made.width - MARGIN_MM + 0.1
    assert bottom <= made.height - MARGIN_MM + 0.1


def test_rows_keep_to_the_width_of_a_mat() -> None:
    assert sheet().width <= SHEET_WIDTH_MM + 0.1
    wide = CutLine("1", "f", "outline", (polyline(np.array([[0, 0], [500, 0], [0, 9.0]]), True),))
    assert sheet_of("f", [wide], "right").width == pytest.approx(500 + 2 * MARGIN_MM)


def test_drawing_stays_on_the_sheet() -> None:
    made = sheet()
    points = np.vstack(made.drawing)
    assert points.min() >= 0
    assert points[:, 0].max() <= made.width
    assert points[:, 1].max() <= made.height


def test_on_the_right_side_no_pen_touches_the_fabric() -> None:
    made = sheet("right")
    pieces = shapely.union_all(shapes_of(made))
    lines = shapely.union_all([shapely.linestrings(line) for line in made.drawing])
    assert not pieces.intersects(lines)


def test_on_the_wrong_side_labels_stand_inside_where_there_is_room() -> None:
    made = sheet("wrong")
    pieces = shapely.union_all(shapes_of(made))
    lines = shapely.union_all([shapely.linestrings(line) for line in made.drawing])
    assert pieces.intersection(lines).length > 10


def test_templates_come_below_with_a_heading() -> None:
    made = sheet(method="turned")
    lowest_cut = max(flatten(c)[:, 1].max() for cut in made.cuts for c in cut.curves)
    highest = min(flatten(c)[:, 1].min() for cut in made.templates for c in cut.curves)
    assert len(made.templates) == len(made.cuts) == 6
    assert highest > lowest_cut


def test_a_side_to_be_left_flat_has_a_second_line_inside() -> None:
    side = np.array([[0.0, 0.0], [30.0, 0.0]])
    outline = polyline(np.array([[0.0, 0], [30, 0], [30, 20], [0, 20]]), closed=True)
    plain = sheet_of("sand", [CutLine("1", "sand", "template", (outline,))], "wrong")
    marked = sheet_of("sand", [CutLine("1", "sand", "template", (outline,), flat=(side,))], "wrong")
    shape = Polygon(flatten(marked.templates[0].curves[0]))
    inside = [line for line in marked.drawing if shape.contains(shapely.linestrings(line))]
    inside_before = [line for line in plain.drawing if len(line)]
    assert len(marked.drawing) > len(inside_before)
    seconds = [line for line in inside if np.ptp(line[:, 0]) > 25]
    assert len(seconds) == 1
    assert seconds[0][:, 1] - shape.bounds[1] == pytest.approx(1.5, abs=0.01)
