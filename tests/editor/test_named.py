"""Files that a dialog's user names without a folder lie beside the drawing."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from applique.editor.inx import LAUNCHER
from applique.editor.named import DOCUMENT_VARIABLE, beside_drawing, new_file
from applique.editor.place import place_into
from applique.editor.scan import trace_into
from applique.errors import UsageError
from applique.files import read_svg, svg_bytes
from applique.library.adding import add_templates
from applique.library.pieces import templates_in
from applique.library.shelf import new_library
from applique.svg import vocabulary as v
from tests.conftest import SAMPLES
from tests.editor.asked import asked
from tests.shapes import drawing


@pytest.fixture
def extensions(tmp_path: Path) -> Path:
    """The folder of our extensions, in which the editor puts what was typed without a folder."""
    folder = tmp_path / "extensions"
    folder.mkdir()
    (folder / LAUNCHER).touch()
    return folder


def test_a_new_file_lies_beside_the_drawing(saved: Path, extensions: Path, tmp_path: Path) -> None:
    assert new_file("", "-page.html") == tmp_path / "harbour-page.html"
    assert new_file("gull.html", "-page.html") == tmp_path / "gull.html"
    assert new_file(str(extensions / "a" / "b.html"), "-page.html") == tmp_path / "a" / "b.html"
    elsewhere = tmp_path / "elsewhere" / "gull.html"
    assert new_file(str(elsewhere), "-page.html") == elsewhere


def test_beside_a_drawing_that_was_never_saved_is_nowhere(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(DOCUMENT_VARIABLE, raising=False)
    with pytest.raises(
        UsageError, match="the drawing was never saved; save it first, or say where"
    ):
        beside_drawing("gull.html", "say where")


def test_a_library_is_looked_for_beside_the_drawing(saved: Path, extensions: Path) -> None:
    library = new_library("Harbour")
    page = drawing('<path ap:piece="7" d="M10 10h30v20l-12 8-18-10z"/>')
    add_templates(library, templates_in(page, "harbour")[0], "HB")
    saved.with_name("library.svg").write_bytes(svg_bytes(library.root.getroottree()))
    for name in ("library.svg", str(extensions / "library.svg")):
        root = drawing("")
        assert place_into(root, asked("place", library=name, templates="7")) == []
        assert [use.get(v.PIECE) for use in root.iter(v.svg("use"))] == ["7"]


def test_a_scan_is_looked_for_beside_the_drawing(saved: Path, extensions: Path) -> None:
    shutil.copy(SAMPLES / "traced" / "harbour-1.jpg", saved.with_name("page.jpg"))
    root = read_svg(saved).getroot()
    before = len(list(root.iter(v.svg("path"))))
    options = asked("scan", file=extensions / "page.jpg")
    options.ids = []
    trace_into(root, options)
    assert len(list(root.iter(v.svg("path")))) > before
