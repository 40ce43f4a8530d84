"""The hooping layer: locked, drawn at the right place in any units, drawn anew as a whole."""

from __future__ import annotations

import numpy as np
import pytest
from lxml import etree
from svgelements import SVG, Path

from applique.svg import vocabulary as v
from applique.svg.hooplayer import DrawnCross, DrawnHooping, write_hoopings
from applique.svg.tree import drawn

BOX = (10.0, 20.0, 140.0, 200.0)
HOOPINGS = [DrawnHooping(1, "130x180", BOX, "#0072b2")]
CROSSES = [DrawnCross("A", (75.0, 110.0))]


def document(view_box: str) -> etree._Element:
    text = f'<svg xmlns="{v.SVG}" width="200mm" height="220mm" viewBox="{view_box}"/>'
    return etree.fromstring(text)


@pytest.mark.parametrize("view_box", ["0 0 200 220", "0 0 755.905512 831.496063", "-50 0 100 110"])
def test_fields_and_crosses_stand_where_the_plan_has_them(view_box: str, tmp_path) -> None:
    root = document(view_box)
    write_hoopings(root, HOOPINGS, CROSSES)
    path = tmp_path / "drawn.svg"
    path.write_bytes(etree.tostring(root))
    # svgelements, an independent reader, gives px at 96 to the inch.
    shapes = [e for e in SVG.parse(str(path), ppi=96).elements() if isinstance(e, Path)]
    boxes = np.array([shape.bbox(with_stroke=False) for shape in shapes]) * 25.4 / 96
    assert np.abs(boxes - np.array(BOX)).max(axis=1).min() < 0.01
    middles = (boxes[:, :2] + boxes[:, 2:]) / 2
    assert np.abs(middles - np.array(CROSSES[0].place_mm)).max(axis=1).min() < 0.01


def test_it_is_locked_and_no_artwork() -> None:
    root = document("0 0 200 220")
    write_hoopings(root, HOOPINGS, CROSSES)
    [layer] = [child for child in root if child.get(v.ROLE) == v.ROLE_HOOPING]
    assert layer.get(v.sodipodi("insensitive")) == "true"
    assert list(drawn(root)) == []


def test_a_new_plan_takes_the_old_ones_place() -> None:
    root = document("0 0 200 220")
    write_hoopings(root, [*HOOPINGS, DrawnHooping(2, "130x180", BOX, "#d55e00")], CROSSES)
    write_hoopings(root, HOOPINGS, [])
    [layer] = [child for child in root if child.get(v.ROLE) == v.ROLE_HOOPING]
    assert [group.get(v.HOOPING) for group in layer] == ["1"]
