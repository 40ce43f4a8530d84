"""A suite in a process of its own: `python -m tests.benchmarks.child SUITE [its words]`.

Its figures come out as JSON, one a line; whatever else is printed goes to stderr.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from dataclasses import asdict
from importlib import import_module

from tests.benchmarks.figures import Figure, NotHereError

_OURS = ("applique", "tests")


def main() -> int:
    name, *words = sys.argv[1:]
    with os.fdopen(os.dup(1), "w", encoding="utf-8") as lines:
        os.dup2(2, 1)  # what a library prints is no figure
        for figure in _figures(name, words):
            lines.write(json.dumps(asdict(figure)) + "\n")
            lines.flush()
    return 0


def _figures(name: str, words: list[str]) -> Iterator[Figure]:
    try:
        yield from import_module(f"tests.benchmarks.{name}").figures(words)
    except NotHereError as absent:
        yield Figure(name, "the whole suite", f"not run: {absent}")
    except ModuleNotFoundError as absent:
        if absent.name is None or absent.name.split(".")[0] in _OURS:
            raise
        yield Figure(name, "the whole suite", f"not run: {absent.name} is not installed")


if __name__ == "__main__":
    sys.exit(main())
