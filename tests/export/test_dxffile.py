"""A DXF file, read back by ezdxf and its auditor."""

import io

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf import recover
from ezdxf.document import Drawing
from ezdxf.entities import DXFEntity

from applique.cutting.nested import rectangle
from applique.cutting.sheet import Sheet
from applique.export.dxffile import dxf_file
from applique.geometry.curves import flatten
from applique.model import Curve
from tests.cutting.pieces import cut_piece, sheet

TRIANGLE = "M0 0 L50 0 L0 20 Z"
RINGS = "M0 0 C0 10 10 20 20 20 L20 0 Z M10 5 L15 5 L15 10 Z"
DROP = "M0 0 C10 20 20 30 20 45 C20 56 11 65 0 65 C-11 65 -20 56 -20 45 C-20 30 -10 20 0 0 Z"
SHEET = sheet(
    [
        cut_piece(TRIANGLE, "17"),
        cut_piece(RINGS, "3", kind="allowance"),
        cut_piece(RINGS, "3", kind="template"),
        cut_piece(DROP, "5"),
    ],
    [(10.0, 10.0), (100.0, 10.0, 30.0), (200.0, 10.0), (150.0, 100.0, 200.0)],
)


def read(made: Sheet = SHEET) -> Drawing:
    document, auditor = recover.read(io.BytesIO(dxf_file(made)))
    assert not auditor.errors and not auditor.fixes
    return document


def rings_of(document: Drawing) -> list[DXFEntity]:
    return [e for e in document.modelspace() if e.dxf.layer in ("CUT", "TEMPLATE")]


def points_of(entity: DXFEntity) -> np.ndarray:
    """A ring's points with y down from the sheet's top, its first point repeated."""
    if entity.dxftype() == "SPLINE":
        spline = entity.construction_tool()  # type: ignore[attr-defined]
        at = np.linspace(0.0, spline.max_t, 400 * int(spline.max_t) + 1)
        points = np.array([(p.x, p.y) for p in spline.points(at)])
    else:
        points = np.array(entity.get_points("xy"))  # type: ignore[attr-defined]
        points = np.vstack([points, points[:1]])
    return points * [1.0, -1.0] + [0.0, 305.0]


def placed_curves(made: Sheet = SHEET) -> list[Curve]:
    return [curve for cut in made.cuts for curve in cut.curves]


def test_units_are_millimetres() -> None:
    document = read()
    assert document.units == ezdxf.units.MM
    assert document.header["$INSUNITS"] == 4 and document.header["$MEASUREMENT"] == 1
    assert document.dxfversion == "AC1015"


def test_every_ring_is_one_entity_in_cutting_order_on_its_layer() -> None:
    found = rings_of(read())
    kinds = [(cut.piece.kind, curve) for cut in SHEET.cuts for curve in cut.curves]
    layers = ["TEMPLATE" if kind == "template" else "CUT" for kind, _ in kinds]
    assert [entity.dxf.layer for entity in found] == layers
    types = ["LWPOLYLINE" if curve.straight.all() else "SPLINE" for _, curve in kinds]
    assert [entity.dxftype() for entity in found] == types


def test_curves_are_what_they_were() -> None:
    """Within 0.001 mm, by ezdxf's own evaluation of its splines; a ring ends where it begins."""
    for entity, curve in zip(rings_of(read()), placed_curves(), strict=True):
        points = points_of(entity)
        assert points[0] == pytest.approx(points[-1], abs=1e-9)
        ring = np.vstack([flatten(curve, 0.0001), curve.segments[:1, 0]])
        lines = [shapely.linestrings(line) for line in (points, ring)]
        assert shapely.hausdorff_distance(*lines) <= 0.001


def test_splines_are_rows_of_cubics_with_their_nodes_exactly() -> None:
    splines = [e for e in rings_of(read()) if e.dxftype() == "SPLINE"]
    curves = [curve for curve in placed_curves() if not curve.straight.all()]
    assert len(splines) == 3
    for spline, curve in zip(splines, curves, strict=True):
        assert spline.dxf.degree == 3
        points = np.array(spline.control_points)[:, :2] * [1.0, -1.0] + [0.0, 305.0]  # type: ignore[attr-defined]
        assert points[:-1:3] == pytest.approx(curve.segments[:, 0], abs=1e-9)
        assert {z for _, _, z in spline.control_points} == {0.0}  # type: ignore[attr-defined]
        assert len(points) == 3 * len(curve.segments) + 1


def test_the_drawing_and_the_inch_have_their_layers() -> None:
    document = read()
    space = document.modelspace()
    assert len(space.query("LWPOLYLINE[layer=='DRAWING']")) == len(SHEET.drawing)
    (square,) = space.query("LWPOLYLINE[layer=='TEST-SQUARE']")
    assert square.closed
    assert np.ptp(points_of(square), axis=0) == pytest.approx([25.4, 25.4])
    colours = [document.layers.get(n).color for n in ("CUT", "TEMPLATE", "DRAWING", "TEST-SQUARE")]
    assert len(set(colours)) == 4


def test_y_runs_up_and_all_lies_where_it_did() -> None:
    document = read()
    points = np.vstack([points_of(entity) for entity in rings_of(document)])
    left, top, right, bottom = shapely.total_bounds([cut.shape for cut in SHEET.cuts])
    assert points.min(axis=0) == pytest.approx([left, top], abs=0.02)
    assert points.max(axis=0) == pytest.approx([right, bottom], abs=0.02)
    # The triangle's right angle lies at its upper left: high up, where y runs up.
    (corner,) = [
        p for e in rings_of(document) if e.dxftype() == "LWPOLYLINE"
        for p in e.get_points("xy") if p == pytest.approx((10.0, 295.0))  # type: ignore[attr-defined]
    ]  # fmt: skip
    assert document.header["$EXTMIN"][1] <= 305.0 - bottom + 1e-6 < corner[1]


def test_the_same_sheet_gives_the_same_bytes_and_no_date() -> None:
    first = dxf_file(SHEET)
    assert first == dxf_file(SHEET)
    assert b"2000-01-01" in first
    assert not ezdxf.options.write_fixed_meta_data_for_testing


def test_the_view_shows_the_sheet_and_the_extents_are_those_of_all_that_is_cut() -> None:
    """A sheet of 200 x 305 mm with a triangle of 50 x 20 mm; the inch goes where there is room."""
    made = sheet([cut_piece(TRIANGLE)], [(140.0, 270.0)], stock=rectangle("scrap", 200.0, 305.0))
    document = read(made)
    (view,) = document.viewports.get("*Active")
    assert tuple(view.dxf.center)[:2] == (100, 152.5)
    assert view.dxf.height == 305
    assert (document.header["$LIMMIN"], document.header["$LIMMAX"]) == ((0, 0), (200, 305))
    inch = made.test_square.segments[:, 0]
    (left, top), (right, bottom) = inch.min(axis=0), inch.max(axis=0)
    assert document.header["$EXTMIN"] == pytest.approx((min(left, 140), 305 - max(bottom, 290), 0))
    assert document.header["$EXTMAX"] == pytest.approx((max(right, 190), 305 - min(top, 270), 0))


def test_what_a_pen_draws_lies_where_it_did() -> None:
    drawn = read().modelspace().query("LWPOLYLINE[layer=='DRAWING']")
    for entity, line in zip(drawn, SHEET.drawing, strict=True):
        assert not entity.closed
        found = np.array(entity.get_points("xy")) * [1.0, -1.0] + [0.0, 305.0]
        assert found == pytest.approx(line, abs=1e-9)


def test_layers_have_their_colours_and_splines_are_told_to_be_planar() -> None:
    """AutoCAD Color Index: 7 is black on white, 30 orange, 5 blue, 3 green. DXF reference, SPLINE,
    group 70: 8 is planar, 1 closed, 2 periodic."""
    document = read()
    colours = {layer.dxf.name: layer.color for layer in document.layers}
    ours = {"CUT": 7, "TEMPLATE": 30, "DRAWING": 5, "TEST-SQUARE": 3}
    assert {name: colours[name] for name in ours} == ours
    splines = [entity for entity in rings_of(document) if entity.dxftype() == "SPLINE"]
    assert [spline.dxf.flags for spline in splines] == [8, 8, 8]
    # Piegl and Tiller: knots four times at the ends, three times at every node between them.
    nodes = len(placed_curves()[-1].segments)
    knots = [0.0, *(float(k) for k in range(nodes + 1) for _ in range(3)), float(nodes)]
    assert list(splines[-1].knots) == knots  # type: ignore[attr-defined]
