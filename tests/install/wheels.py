"""A wheel and a source archive of this tree, and an empty environment with the wheel in it.

What the wheel asks for is linked from the environment of the tests, package by package as its
metadata names them, and nothing else: no network is needed, and what the metadata forgets is
missing, as it would be for a user.
"""

from __future__ import annotations

import importlib.metadata
import os
import shutil
import subprocess
import sys
import venv
from dataclasses import dataclass
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[2]


def build(source: Path, folder: Path, *targets: str) -> None:
    """Build `sdist`, `wheel` or both from a tree into a folder."""
    wanted = [word for target in targets for word in ("-t", target)]
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-d", str(folder), *wanted],
        cwd=source,
        check=True,
        capture_output=True,
    )


@dataclass(frozen=True)
class Installed:
    """An environment: its folder of programs, and its packages."""

    programs: Path
    packages: Path

    @property
    def python(self) -> Path:
        return self.programs / "python"

    def run(self, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
        """Run a program of the environment in a place of its own, as a user's shell does."""
        return subprocess.run(
            [str(self.programs / words[0]), *words[1:]],
            env={**os.environ, **environment},
            cwd=self.programs,
            capture_output=True,
            encoding="utf-8",
            check=False,
        )


def install(wheel: Path, folder: Path) -> Installed:
    """A new environment with a wheel and what it asks for."""
    venv.create(folder, symlinks=True)
    python = folder / "bin" / "python"
    uv = shutil.which("uv", path=f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}")
    assert uv, "uv is part of the set-up"
    subprocess.run(
        [uv, "pip", "install", "--offline", "--no-deps", "--python", str(python), str(wheel)],
        check=True,
        capture_output=True,
    )
    packages = next(folder.glob("lib/python*/site-packages"))
    (metadata,) = importlib.metadata.distributions(name="underlap", path=[str(packages)])
    for name in _asked_for(metadata.requires or [], set()):
        _link(importlib.metadata.distribution(name), packages)
    return Installed(folder / "bin", packages)


def _asked_for(requirements: list[str], known: set[str]) -> set[str]:
    """The names of all packages that requirements ask for, at any remove."""
    for requirement in map(Requirement, requirements):
        asked = requirement.marker is None or requirement.marker.evaluate({"extra": ""})
        if asked and requirement.name not in known:
            known.add(requirement.name)
            _asked_for(importlib.metadata.requires(requirement.name) or [], known)
    return known


def _link(distribution: importlib.metadata.Distribution, packages: Path) -> None:
    """Link all that a package has put among the others."""
    tops = {path.parts[0] for path in distribution.files or ()} - {"..", "__pycache__"}
    for top in sorted(tops):
        if not (packages / top).exists():
            (packages / top).symlink_to(Path(str(distribution.locate_file(top))))
