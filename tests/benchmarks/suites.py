"""Every suite of the benchmarks, and how each is run: in a process of its own."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.figures import Figure

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Suite:
    """A suite by the name of its module, and the words that make it a sample of itself."""

    name: str
    sample: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """The first sentence of its docstring; read, not imported: what it needs may be missing."""
        told = ast.get_docstring(ast.parse(self.path.read_text(encoding="utf-8"))) or ""
        first = told.split("\n\n")[0].replace("\n", " ")
        return first.split(": `")[0].rstrip(".")

    @property
    def path(self) -> Path:
        return Path(__file__).parent / f"{self.name}.py"


SUITES = (
    Suite("start", ("--rounds", "3")),
    Suite("layers", ("--pieces", "10", "50", "250")),
    Suite("export", ("--pieces", "20")),
    Suite("effect"),
    Suite("peers", ("--pieces", "100")),
    Suite("growth", ("--quick",)),
    Suite("tracing", ("--pages", "2", "--sets", "normal-fine,hard-fine,normal,hard")),
    Suite("tracers", ("--pages", "1")),
    Suite("library", ("--count", "500", "--copies", "50")),
    Suite("hoopings", ("1", "--parts", "12", "30")),
    Suite("sequencing", ("--seeds", "0", "--pieces", "30", "90")),
    Suite("nesting", ("strips", "--seconds", "5", "--seeds", "1", "--instances", "fu")),
    Suite("quilt", ("--blocks", "3")),
    Suite("stitchout", ("20000", "--watched-ms", "1500")),
)


def run(suite: Suite, words: tuple[str, ...]) -> Iterator[Figure]:
    """The figures of a suite as they come from its process; the last says so if it broke off."""
    # Commands are timed as users start them: with compiled bytecode.
    compiled = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    command = [sys.executable, "-m", "tests.benchmarks.child", suite.name, *words]
    with subprocess.Popen(
        command, cwd=ROOT, env=compiled, stdout=subprocess.PIPE, encoding="utf-8"
    ) as process:
        assert process.stdout is not None
        for line in process.stdout:
            yield Figure(**json.loads(line))
    if process.returncode != 0:
        told = f"broke off, exit code {process.returncode}"
        yield Figure(suite.name, "the whole suite", told, "to its end", False)
