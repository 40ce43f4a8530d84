"""One build at a time."""

from __future__ import annotations

from pathlib import Path

import pytest

from applique.building.lock import locked
from applique.errors import OutputError


def test_a_second_build_is_refused_while_the_first_runs(tmp_path: Path) -> None:
    refused = pytest.raises(OutputError, match="another build is running")
    with locked(tmp_path / "k"), refused, locked(tmp_path / "k"):
        pass
    with locked(tmp_path / "k"):
        pass


def test_a_folder_that_can_not_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError, match="can't be written"), locked(tmp_path / "file" / "k"):
        pass
