"""The house as a test: import layers, files that stay small, generated files that are fresh."""

import subprocess
import sys
from pathlib import Path

import pytest

from applique.editor.inx import inx_files

LONGEST = 270
"""Lines. Files stay between about 80 and 250; the table of settings is the longest."""

ROOT = Path(__file__).resolve().parent.parent
SOURCES = sorted((ROOT / "applique").rglob("*.py"))


def test_rooms_import_only_from_rooms_below() -> None:
    program = Path(sys.executable).with_name("lint-imports")
    call = subprocess.run(
        [program, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert call.returncode == 0, call.stdout


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_files_stay_small(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST


@pytest.mark.parametrize("name", inx_files())
def test_the_editors_description_files_are_fresh(name: str) -> None:
    """`python -m applique.editor.inx` rewrites them."""
    assert (ROOT / "extensions" / name).read_bytes() == inx_files()[name]


def test_there_are_no_other_description_files() -> None:
    assert {path.name for path in (ROOT / "extensions").glob("*.inx")} == set(inx_files())
