"""What all tests share: the flag that rewrites goldens, the samples, the real editor."""

from __future__ import annotations

# ruff: noqa: E402
from applique.one_thread import keep_to_one_thread

keep_to_one_thread()

import os
import shutil
from pathlib import Path

import pytest
from hypothesis import settings

from tests.browser import browser, open_page

__all__ = ["browser", "open_page"]

# Time is the benchmarks' business; and a run in CI must say the same twice.
settings.register_profile("anywhere", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("UNDERLAP_CI") else "anywhere")

# A fault is to be seen here as it is, not as the user is told of it.
os.environ.setdefault("UNDERLAP_TRACEBACK", "1")

MOST_WORKERS = 8
"""Processes that share the whole suite at most; each takes up to 1 GB."""

TESTS = Path(__file__).resolve().parent
SAMPLES = TESTS.parent / "samples"


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """The whole suite is shared by the cores; named tests run in this process, which starts
    sooner. `-n 0` and `-n 4` say otherwise."""
    if config.args_source is not pytest.Config.ArgsSource.TESTPATHS:
        return 0
    return min(os.cpu_count() or 1, MOST_WORKERS)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--rewrite-goldens",
        action="store_true",
        help="write tests/golden anew and look at the diff",
    )


@pytest.fixture
def rewrite_goldens(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--rewrite-goldens"))


@pytest.fixture(params=sorted(path.stem for path in SAMPLES.glob("*.svg")))
def sample(request: pytest.FixtureRequest) -> Path:
    return SAMPLES / f"{request.param}.svg"


@pytest.fixture(scope="session")
def inkscape() -> str:
    """The real editor. In CI it must be there; elsewhere its tests skip."""
    found = shutil.which("inkscape")
    display = shutil.which("xvfb-run")
    if found and display:
        return found
    if os.environ.get("UNDERLAP_CI"):
        pytest.fail("inkscape and xvfb-run must be installed in CI")
    pytest.skip("inkscape or xvfb-run is not installed")
