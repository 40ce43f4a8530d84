"""A small quilt that was built once, and copies of it to change."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from applique.building.build import Built
from tests.building import quilts


@dataclass(frozen=True)
class Quilt:
    """A quilt and where it is built."""

    path: Path
    out: Path

    @property
    def folder(self) -> Path:
        return self.path.parent

    def build(self, blocks: Sequence[str] = (), week: int | None = None, jobs: int = 1) -> Built:
        return quilts.build(self.path, self.out, blocks, week, jobs)

    def contents(self) -> dict[str, bytes]:
        return quilts.contents(self.out)


def beside(folder: Path) -> Quilt:
    return Quilt(folder / "in" / "quilt.toml", folder / "out")


@pytest.fixture(scope="session")
def once(tmp_path_factory: pytest.TempPathFactory) -> Quilt:
    """The small quilt, built. Nobody may change it."""
    quilt = beside(tmp_path_factory.mktemp("quilt"))
    quilts.write_quilt(quilt.folder)
    assert quilt.build().is_whole
    return quilt


@pytest.fixture
def quilt(once: Quilt, tmp_path: Path) -> Quilt:
    """A copy of it, built, to change."""
    shutil.copytree(once.path.parents[1], tmp_path / "quilt")
    return beside(tmp_path / "quilt")


@pytest.fixture
def unbuilt(tmp_path: Path) -> Quilt:
    """The small quilt before it is built."""
    quilt = beside(tmp_path / "unbuilt")
    quilts.write_quilt(quilt.folder)
    return quilt
