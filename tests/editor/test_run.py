"""The editor's inkex: taken where there is no other, and last on the path."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from applique.editor import run


@pytest.fixture
def path(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    monkeypatch.setattr(sys, "path", ["first"])
    return sys.path


def test_it_comes_last_where_there_is_none(
    path: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(run, "find_spec", lambda name: None)
    run.offer_inkex("/editor/extensions")
    assert path == ["first", "/editor/extensions"]


def test_our_own_goes_before_it(path: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(run, "find_spec", lambda name: object())
    run.offer_inkex("/editor/extensions")
    assert path == ["first"]


def test_nothing_is_added_where_the_editor_has_none(
    path: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(run, "find_spec", lambda name: None)
    run.offer_inkex("")
    assert path == ["first"]


def test_an_inkex_that_can_not_be_loaded_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    told = tmp_path / "told.txt"
    monkeypatch.setenv("UNDERLAP_MESSAGES", str(told))
    monkeypatch.setitem(sys.modules, "inkex.base", None)
    assert run.main() == 1
    assert len(told.read_text().splitlines()) == 1
    assert "install Inkscape anew" in told.read_text()
