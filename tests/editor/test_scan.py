"""Pieces from Scan, run by a real Inkscape on a virtual screen."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import numpy as np
import pytest
import shapely
from lxml import etree
from PIL import Image

from applique.editor import install
from applique.geometry.curves import flatten
from applique.svg import vocabulary as v
from applique.svg.paths import parse_path
from applique.svg.transforms import apply, chain_of, compose, root_matrix
from tests import shapes
from tests.editor.real import Editor
from tests.trace.drawn import Page, Scanner, Traced, scanned

DPI = 200
WIDTH_MM, HEIGHT_MM = 60.0, 50.0


@pytest.fixture(scope="module")
def profile(inkscape: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("profile")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("INKSCAPE_PROFILE_DIR", str(folder))
        patch.setenv("UNDERLAP_EDITOR", inkscape)
        install.install()
    return folder


@pytest.fixture
def editor(inkscape: str, profile: Path, tmp_path: Path) -> Editor:
    (profile / "preferences.xml").unlink(missing_ok=True)
    return Editor(inkscape, profile, tmp_path / "messages.txt")


@pytest.fixture(scope="module")
def scan() -> bytes:
    """A page with a circle of 15 mm around (30, 25) mm."""
    circle = shapely.get_coordinates(shapes.circle(15, 30, 25))[:-1]
    grey = scanned(Page((WIDTH_MM, HEIGHT_MM), (Traced(circle),)), Scanner(DPI))
    buffer = io.BytesIO()
    Image.fromarray(grey).save(buffer, "PNG", dpi=(DPI, DPI))
    return buffer.getvalue()


def outline_mm(root: etree._Element, label: str) -> np.ndarray:
    """The outline with a label, in mm on the document's page."""
    (path,) = (element for element in root.iter(v.svg("path")) if element.get(v.PIECE) == label)
    (curve,) = parse_path(path.get("d", ""))
    return apply(compose(root_matrix(root), chain_of(path)), flatten(curve))


def test_outlines_appear_exactly_over_the_selected_picture(
    editor: Editor, scan: bytes, tmp_path: Path
) -> None:
    # Half as large as life, moved and turned by a group: the outline goes with it.
    data = base64.b64encode(scan).decode("ascii")
    drawing = tmp_path / "drawing.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        'width="150mm" height="120mm" viewBox="0 0 150 120">'
        '<g transform="translate(40 10) rotate(10) scale(0.5)"><image id="page" x="4" y="6" '
        f'width="{WIDTH_MM}" height="{HEIGHT_MM}" preserveAspectRatio="none" '
        f'xlink:href="data:image/png;base64,{data}"/></g></svg>'
    )
    editor.prefer("scan", first="20")
    root = editor.run_effect("scan", drawing, tmp_path / "out.svg", select="page")
    outline = outline_mm(root, "20")
    (picture,) = root.iter(v.svg("image"))
    (centre,) = apply(compose(root_matrix(root), chain_of(picture)), np.array([[34.0, 31.0]]))
    away = np.hypot(*(outline - centre).T)
    assert np.abs(away - 7.5).max() < 0.04
    assert "shown at 50.0 % of its true size" in editor.told()


def test_a_file_is_put_into_the_drawing_at_true_size(
    editor: Editor, scan: bytes, tmp_path: Path
) -> None:
    page, drawing = tmp_path / "page.png", tmp_path / "drawing.svg"
    page.write_bytes(scan)
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="4in" height="3in" viewBox="0 0 288 216"/>'
    )
    editor.prefer("scan", file=page, numbers="A7")
    root = editor.run_effect("scan", drawing, tmp_path / "out.svg")
    away = np.hypot(*(outline_mm(root, "A7") - (30, 25)).T)
    assert np.abs(away - 15).max() < 0.06
    assert len(list(root.iter(v.svg("image")))) == 1
    assert editor.told() == ""


def test_without_a_picture_or_a_file_it_says_so(editor: Editor, tmp_path: Path) -> None:
    drawing = tmp_path / "drawing.svg"
    drawing.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="4in" height="3in"/>')
    editor.run_effect("scan", drawing, tmp_path / "out.svg")
    assert (
        editor.told() == "no page is given; select a picture of a traced page, or name its file\n"
    )
