"""Commands reckon in one thread, however many cores there are."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

COUNTABLE = pytest.mark.skipif(
    not Path("/proc/self/status").exists(), reason="counts threads as Linux does"
)

_COUNTED = """
from contextlib import suppress
from applique.cli.main import main
with suppress(SystemExit):
    main(["--version"])
import numpy as np
matrices = np.random.default_rng(1).normal(size=(4, 400, 400))
for _ in range(3):
    np.linalg.solve(matrices, matrices)
with open("/proc/self/status", encoding="ascii") as status:
    print(next(line for line in status if line.startswith("Threads")).split()[1])
"""


def threads(**asked: str) -> int:
    """The threads of a process that has run a command and then reckoned with large matrices."""
    taken_away = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS")
    environment = {k: v for k, v in os.environ.items() if k not in taken_away} | asked
    run = subprocess.run(
        [sys.executable, "-c", _COUNTED],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    return int(run.stdout.split()[-1])


@COUNTABLE
def test_a_command_keeps_numpy_to_one_thread():
    assert threads() == 1


@COUNTABLE
@pytest.mark.skipif((os.cpu_count() or 1) < 2, reason="one core has one thread in any case")
def test_what_the_user_has_set_is_kept():
    assert threads(OPENBLAS_NUM_THREADS="2") == 2
