"""What the tests of a room take and reach without any mutant: the ground that mutants stand on."""

from __future__ import annotations

import ast
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import coverage
import pytest
from hypothesis import HealthCheck, Phase, settings

MOST_EXAMPLES = 15
"""Of a property: enough for most mutants, and more would take most of the time."""

_OWN_SETTINGS = "_hypothesis_internal_use_settings"
"""Where hypothesis keeps what a test's own `settings` say; it has no other way to change them."""


class FewExamples:
    """Fewer examples, the same ones every time, and none made smaller: a mutant is killed or not,
    and rather counts as alive than that the run takes a day."""

    def pytest_configure(self) -> None:
        settings.register_profile(
            "mutation",
            max_examples=MOST_EXAMPLES,
            deadline=None,
            derandomize=True,
            database=None,
            phases=(Phase.explicit, Phase.generate),
            suppress_health_check=list(HealthCheck),
        )
        settings.load_profile("mutation")

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        for item in items:
            test = getattr(item, "obj", None)
            own = getattr(test, _OWN_SETTINGS, None)
            if own is not None and own.max_examples > MOST_EXAMPLES:
                setattr(test, _OWN_SETTINGS, settings(own, max_examples=MOST_EXAMPLES))


@dataclass(frozen=True)
class Baseline:
    """Seconds of the processor by test, in the order of the tests; and by file and line what
    reached it: tests, or whole files of tests that reached it while they were loaded."""

    seconds: dict[str, float]
    reached: dict[str, dict[int, list[str]]]

    def tests_of(self, path: Path, text: str, line: int) -> list[str]:
        """The tests that run the statement around a line, the quickest first. What is run while
        modules are loaded, a constant say, all tests of the room may depend on."""
        around = _statement(text, line)
        if around is None:
            return sorted(self.seconds, key=lambda test: (not _mirrors(test, path), self._of(test)))
        lines = self.reached.get(str(path), {})
        by = {name for number in around for name in lines.get(number, ())}
        found = {test for test in self.seconds if test in by or test.split("::")[0] in by}
        return sorted(found, key=self._of)

    def _of(self, test: str) -> float:
        return self.seconds[test]


class Watch:
    """Notes while the tests run what each takes and reaches."""

    def __init__(self, root: Path, sources: Path) -> None:
        self.seconds: dict[str, float] = {}
        self.reached: dict[str, dict[int, list[str]]] = {}
        self._root = root
        self._coverage = coverage.Coverage(
            data_file=None, include=[str(root / sources / "*")], config_file=False
        )

    @pytest.hookimpl(wrapper=True)
    def pytest_make_collect_report(self, collector: pytest.Collector) -> Iterator[None]:
        self._coverage.start()
        self._coverage.switch_context(collector.nodeid)
        return (yield)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self._coverage.switch_context(item.nodeid)
        begun = time.process_time()
        result = yield
        self.seconds[item.nodeid] = time.process_time() - begun
        return result

    def pytest_sessionfinish(self) -> None:
        self._coverage.stop()
        data = self._coverage.get_data()
        for name in data.measured_files():
            path = str(Path(name).relative_to(self._root))
            self.reached[path] = data.contexts_by_lineno(name)


def _mirrors(test: str, path: Path) -> bool:
    """Whether a test stands in the file that mirrors the source."""
    return Path(test.split("::")[0]).name == f"test_{path.name}"


def _statement(text: str, line: int) -> range | None:
    """Lines of the smallest statement inside a function around a line, without the statements
    inside it; none for what is run while the module is loaded."""
    tree = ast.parse(text)
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    inside = [
        node
        for function in functions
        for statement in function.body
        for node in ast.walk(statement)
        if isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or 0)
    ]
    if not inside:
        return None
    inner = max(inside, key=lambda node: (node.lineno, -(node.end_lineno or 0)))
    body = getattr(inner, "body", None)
    return range(inner.lineno, body[0].lineno if body else (inner.end_lineno or 0) + 1)
