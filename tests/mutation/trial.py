"""Mutants tried in a copy of the project, each in a process that parts from this one.

cosmic-ray starts a new Python for every mutant, which takes longer to load numpy, shapely and the
machine library than most mutants take to die. Here they are loaded once, and every trial is a fork
that loads only our own code. The trials need Linux or macOS.
"""

from __future__ import annotations

import importlib
import os
import pickle
import resource
import shutil
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from tests.mutation.baseline import Baseline, FewExamples, Watch
from tests.mutation.mutants import Mutant

COPIED = ("applique", "extensions", "samples", "tests", "pyproject.toml")
_LOADED_ONCE = ("ezdxf", "lxml.etree", "pyclipper", "pyembroidery", "scipy.spatial", "shapely")
_OURS = ("applique", "tests")

_SLOWER_TIMES = 5
_AT_LEAST_S = 10
"""Processor seconds that the tests may take with a mutant, against those without; then it counts as
killed, for a hang would be seen."""

_MEMORY_BYTES = 4 << 30
_QUIET = ("-x", "-q", "-n", "0", "--no-header", "--tb=line", "-p", "no:cacheprovider")
_LOADED_EARLY = ("-W", "ignore::pytest.PytestAssertRewriteWarning")


class Room:
    """One room of the package in the copy, and the tests that mirror it."""

    def __init__(self, copy: Path, name: str) -> None:
        self._copy = copy
        self._tests = f"tests/{name}"
        self._sources = Path("applique", name)
        self._trials = 0
        self._baseline = self._measured()

    def kills(self, mutant: Mutant) -> bool:
        """Whether a test fails, or takes far too long, with the mutant in its file's place."""
        tests = self._baseline.tests_of(mutant.path, mutant.was, mutant.line)
        if not tests:
            return False
        usual = sum(self._baseline.seconds[test] for test in tests)
        limit = int(_AT_LEAST_S + _SLOWER_TIMES * usual)
        self._put(mutant.path, mutant.text)
        try:
            return _ending_of(lambda: _limited(self._copy, tests, limit)) != 0
        finally:
            self._put(mutant.path, mutant.was)

    def _measured(self) -> Baseline:
        """The baseline; RuntimeError if a test fails without any mutant."""
        noted, told = self._copy / "baseline.pickle", self._copy / "baseline.txt"

        def run() -> int:
            sys.dont_write_bytecode = False
            watch = Watch(self._copy, self._sources)
            ending = _tested(self._copy, [self._tests], [watch])
            noted.write_bytes(pickle.dumps((watch.seconds, watch.reached)))
            return ending

        if _ending_of(run, told) != 0:
            sentence = f"{self._tests} fails without any mutant; mend that first"
            raise RuntimeError(f"{sentence}:\n{told.read_text(encoding='utf-8')}")
        baseline = Baseline(*pickle.loads(noted.read_bytes()))
        if not baseline.reached:
            raise RuntimeError(f"{self._tests} does not reach the copy in {self._copy}")
        return baseline

    def _put(self, path: Path, text: str) -> None:
        """Each text gets a time of its own, or Python would take the old one's compiled code."""
        self._trials += 1
        (self._copy / path).write_text(text, encoding="utf-8")
        os.utime(self._copy / path, (self._trials, self._trials))


def copied(root: Path, copy: Path) -> None:
    """The project in a folder of its own, so that no mutant ever stands in the real one."""
    for name in COPIED:
        if (root / name).is_dir():
            shutil.copytree(root / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(root / name, copy / name)


def load_libraries() -> None:
    """Load once what all trials need and no mutant changes."""
    for name in _LOADED_ONCE:
        importlib.import_module(name)


def _ending_of(work: Callable[[], int], told: Path = Path(os.devnull)) -> int:
    """How a process that parts from this one ends; below 0 if a signal ended it. What it tells
    goes into a file."""
    child = os.fork()
    if child == 0:
        ending = 1
        try:
            file = os.open(told, os.O_WRONLY | os.O_CREAT)
            os.dup2(file, sys.stdout.fileno())
            os.dup2(file, sys.stderr.fileno())
            ending = work()
        except BaseException:
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(ending)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _limited(copy: Path, tests: Sequence[str], seconds: int) -> int:
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY_BYTES, _MEMORY_BYTES))
    sys.dont_write_bytecode = True
    return _tested(copy, tests, [])


def _tested(copy: Path, tests: Sequence[str], plugins: Sequence[object]) -> int:
    """Run tests on the copy's code, none of which this process may have loaded."""
    os.chdir(copy)
    sys.path[:] = [str(copy), *sys.path[1:]]
    for name in [name for name in sys.modules if name.split(".")[0] in _OURS]:
        del sys.modules[name]
    return int(pytest.main([*_QUIET, *_LOADED_EARLY, *tests], plugins=[FewExamples(), *plugins]))
