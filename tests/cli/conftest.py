"""A small quilt for the tests of its command."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.quilt_dots import Dots


@pytest.fixture
def dots(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Dots:
    """The quilt, not yet written; the pictures of its proofs are small, which takes a third of the
    time."""
    monkeypatch.setattr("applique.building.works.proof.PICTURE_PX", 300)
    return Dots(tmp_path, capsys)
