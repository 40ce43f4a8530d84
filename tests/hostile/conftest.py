"""The process that commands run in, and a good block for those that need one besides."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator

import pytest

if sys.platform != "linux" or not hasattr(os, "fork"):
    pytest.skip(
        "memory and time of a command are measured and bounded as Linux does it",
        allow_module_level=True,
    )

from tests.hostile.running import Runner


@pytest.fixture(scope="session")
def runner(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Runner]:
    """Where commands run."""
    with Runner(tmp_path_factory.mktemp("hostile")) as running:
        yield running
    _FIGURES.extend(running.figures)


_FIGURES: list[tuple[float, float, str]] = []


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """What the commands took, in one line."""
    if _FIGURES:
        seconds, megabytes = max(one[0] for one in _FIGURES), max(one[1] for one in _FIGURES)
        terminalreporter.write_line(
            f"hostile input: {len(_FIGURES)} commands run, {sum(one[0] for one in _FIGURES):.0f} s "
            f"of the processor; at most {seconds:.1f} s and {megabytes:.0f} MB for one"
        )
