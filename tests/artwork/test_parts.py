"""What single shapes become: pieces, islands, lines, spots."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from applique.pipeline import make_layers
from applique.svg import vocabulary as v
from applique.svg.read import read_block
from tests.artwork.bringing import brought, choosing, pieces, reread, told
from tests.artwork.motifs import HARBOUR


def test_small_shapes_are_sewn_or_dropped_and_named_with_their_place() -> None:
    small = HARBOUR + '<circle id="port" cx="200" cy="270" r="5" fill="#f0b83a"/>'
    imported = brought(small)
    assert pieces(imported)[-1].get(v.DETAIL) == "spot"
    assert "port: is 4.9 mm wide" in told(imported, "small")
    assert "near" in told(imported, "small")
    assert len(pieces(choosing(small, small="drop"))) == 9
    assert pieces(choosing(small, smallest_mm=4.0))[-1].get(v.DETAIL) is None
    wide = pieces(choosing(small, smallest_mm=30.0))
    assert {path.get(v.DETAIL) for path in wide} == {None, "spot", "line"}


def test_islands_stay_together_or_become_pieces() -> None:
    islands = (
        '<path id="isles" fill="#080" fill-rule="evenodd" '
        'd="M0 0h40v40h-40z M10 10h20v20h-20z M60 0c0 30 30 30 30 0z"/>'
    )
    assert len(pieces(brought(islands))) == 1
    imported = choosing(islands, split=True)
    assert [part.name for part in imported.parts] == ["isles.1", "isles.2"]
    area = sum(part.shape.area for part in imported.parts)
    assert area == pytest.approx(brought(islands).parts[0].shape.area, rel=1e-5)
    assert [piece.get("d").count("M") for piece in pieces(imported)] == [2, 1]
    assert "C" in pieces(imported)[1].get("d")


def test_islands_of_a_crossing_outline_keep_its_shape() -> None:
    bow = '<path id="bow" fill="#800" d="M0 0 L60 40 V0 C40 30 20 30 0 40 Z"/>'
    whole = brought(bow).parts[0].shape
    split = choosing(bow, split=True)
    assert len(split.parts) >= 2
    read = [piece.outline.shape for piece in read_block(reread(split)).block.pieces]
    assert shapely.union_all(read).symmetric_difference(whole).area < 0.01 * whole.length


def test_an_open_filled_path_is_closed_as_its_fill_shows_it() -> None:
    imported = brought('<path id="bay" fill="#268" d="M0 0 C0 60 60 60 60 0"/>')
    assert pieces(imported)[0].get("d").endswith("Z")
    assert "bay" in told(imported, "open-path")
    assert len(make_layers(reread(imported)).made) == 1


def test_lines_without_fill_are_sewn_as_lines() -> None:
    lines = (
        '<path id="rope" fill="none" stroke="#333" stroke-width="4" d="M20 150q40 40 90 0"/>'
        '<line id="hair" x1="20" y1="200" x2="100" y2="200" stroke="#a00" stroke-width="1"/>'
        '<circle id="ring" cx="60" cy="260" r="20" fill="none" stroke="#060" stroke-width="40"/>'
        '<path id="dot" d="M20 20h.1" stroke="#060" stroke-width="6" stroke-linecap="round"/>'
    )
    imported = brought(HARBOUR + lines)
    rope, hair, ring, dot = pieces(imported)[-4:]
    assert [rope.get(v.DETAIL), hair.get(v.DETAIL)] == ["line", "run"]
    assert float(rope.get(v.ap("detail-width"))) == pytest.approx(4 * 200 / 450, abs=0.001)
    assert (rope.get("stroke"), rope.get("fill")) == ("#333333", "none")
    assert ring.get(v.ap("detail-width")) == "6"
    assert "ring" in told(imported, "too-wide")
    assert dot.get(v.DETAIL) == "spot"
    assert len(make_layers(reread(imported)).made) == 13


def test_strokes_of_filled_shapes_are_left_out_or_lie_right_above_them() -> None:
    boat = (
        '<path id="hull" fill="#900" stroke="#222" stroke-width="8" d="M0 0H100L80 40H20Z"/>'
        '<circle id="port" cx="50" cy="20" r="12" fill="#fc0"/>'
    )
    left = brought(boat, 200.0)
    assert "strokes of filled shapes" in told(left, "stroke")
    assert len(pieces(left)) == 2
    outlined = choosing(boat, strokes="outline")
    labels = [path.get(v.inkscape("label")) for path in pieces(outlined)]
    assert labels == ["hull", "hull (stroke)", "port"]
    box = np.array(read_block(reread(outlined)).block.pieces[1].outline.shape.bounds)
    assert box[2] - box[0] == pytest.approx(200.0, abs=0.01)
