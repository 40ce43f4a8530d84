"""A cut sheet as a DXF file in millimetres; the one place that knows ezdxf.

Cubic Beziers are written as they are: a SPLINE of degree 3 whose knots are threefold at every node
is the same curve (L. Piegl, W. Tiller, "The NURBS Book", 1997, ch. 5: a B-spline with full inner
knots is a row of Bezier segments). In a DXF y runs up, so the sheet stands on its lower edge.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import numpy as np
import shapely

from applique.cutting.sheet import Sheet
from applique.model import Curve

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

VERSION = "R2000"
"""The oldest version with splines, lightweight polylines and units (AC1015): most programs read
it; common practice."""

LAYERS = {"CUT": 7, "TEMPLATE": 30, "DRAWING": 5, "TEST-SQUARE": 3}
"""Layers and their colours by number (AutoCAD Color Index): black on white paper, orange, blue and
green."""

_MILLIMETRES = 4
_METRIC = 1
"""Values of $INSUNITS and $MEASUREMENT (DXF reference, header section)."""

_PLANAR = 8
"""The flag of a SPLINE that lies in a plane (DXF reference)."""

PointMm = tuple[float, float, float]


def dxf_file(sheet: Sheet) -> bytes:
    """The sheet as DXF: every ring one entity that ends where it begins, on the layer CUT or
    TEMPLATE and in cutting order; what a pen draws on DRAWING, the inch on TEST-SQUARE."""
    import ezdxf

    with _without_dates():
        document = ezdxf.new(  # type: ignore[attr-defined]
            VERSION, setup=False, units=_MILLIMETRES
        )
        document.header["$MEASUREMENT"] = _METRIC
        for name, colour in LAYERS.items():
            document.layers.add(name, color=colour)
        width, height = sheet.stock.size_mm
        document.set_modelspace_vport(height, center=(width / 2, height / 2))
        space = document.modelspace()
        space.reset_limits((0.0, 0.0), (width, height))
        space.reset_extents(*_extents(sheet))
        _draw(space, sheet)
        stream = io.StringIO()
        document.write(stream)
        return bytes(document.encode(stream.getvalue()))


@contextmanager
def _without_dates() -> Iterator[None]:
    """While this holds, ezdxf writes a fixed date and no chance identifiers: the same sheet gives
    the same bytes."""
    import ezdxf

    options = ezdxf.options  # type: ignore[attr-defined]
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _extents(sheet: Sheet) -> tuple[PointMm, PointMm]:
    """The lower left and the upper right corner of all that is cut, the test square too."""
    shapes = [cut.shape for cut in sheet.cuts]
    square = shapely.Polygon(sheet.test_square.segments[:, 0])
    left, top, right, bottom = shapely.total_bounds([*shapes, square]).tolist()
    height = sheet.stock.size_mm[1]
    return (left, height - bottom, 0.0), (right, height - top, 0.0)


def _draw(space: Modelspace, sheet: Sheet) -> None:
    height = sheet.stock.size_mm[1]
    for cut in sheet.cuts:
        layer = "TEMPLATE" if cut.piece.kind == "template" else "CUT"
        for curve in cut.curves:
            _add_ring(space, curve, height, layer)
    for line in sheet.drawing:
        space.add_lwpolyline(_upwards(line, height), dxfattribs={"layer": "DRAWING"})
    _add_ring(space, sheet.test_square, height, "TEST-SQUARE")


def _add_ring(space: Modelspace, curve: Curve, height: float, layer: str) -> None:
    """A closed curve as one entity: a polyline where all of it is straight, else a spline."""
    attributes = {"layer": layer}
    if curve.straight.all():
        corners = _upwards(curve.segments[:, 0], height)
        space.add_lwpolyline(corners, close=True, dxfattribs=attributes)
        return
    count = len(curve.segments)
    points = np.vstack([curve.segments[:, :3].reshape(-1, 2), curve.segments[:1, 0]])
    spline = space.add_spline(degree=3, dxfattribs=attributes)
    spline.control_points = [(x, y, 0.0) for x, y in _upwards(points, height)]
    spline.knots = [0.0, *np.repeat(np.arange(count + 1.0), 3).tolist(), float(count)]
    # It ends where it begins. Programs that see the flag for "closed" often take the knots for
    # those of a periodic spline, which would round the corners (from memory).
    spline.dxf.flags = _PLANAR


def _upwards(points: np.ndarray, height: float) -> list[tuple[float, float]]:
    """Points (n, 2) with y running up from the sheet's lower edge."""
    turned = points * [1.0, -1.0] + [0.0, height]
    return [(x, y) for x, y in turned.tolist()]
