"""A layered block as the editor has it open, and a real editor with the extensions installed."""

from __future__ import annotations

from pathlib import Path

import pytest

from applique.editor import install
from applique.editor.named import DOCUMENT_VARIABLE
from applique.files import read_svg, svg_bytes
from applique.pipeline import make_layers
from tests.editor.asked import BLOCK
from tests.editor.real import Editor


@pytest.fixture(scope="session")
def layered(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A block of two pieces with its layers."""
    path = tmp_path_factory.mktemp("block") / "block.svg"
    path.write_text(BLOCK, encoding="utf-8")
    tree = read_svg(path)
    make_layers(tree.getroot())
    return svg_bytes(tree)


@pytest.fixture
def saved(layered: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The block's file, as the editor has it open."""
    path = tmp_path / "harbour.svg"
    path.write_bytes(layered)
    monkeypatch.setenv(DOCUMENT_VARIABLE, str(path))
    return path


@pytest.fixture
def real_editor(inkscape: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Editor:
    """An editor with a profile of its own, into which the extensions are installed."""
    profile = tmp_path / "profile"
    monkeypatch.setenv("INKSCAPE_PROFILE_DIR", str(profile))
    monkeypatch.setenv("UNDERLAP_EDITOR", inkscape)
    install.install()
    return Editor(inkscape, profile, tmp_path / "messages.txt")
