"""The benchmarks' own frame: every suite is listed, told of and can be run; the page holds them."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import numpy as np
import pytest

from tests.benchmarks import __main__ as benchmarks
from tests.benchmarks import child, report, suites
from tests.benchmarks.figures import Figure, NotHereError, at_most, line_of, run_alone
from tests.benchmarks.slopes import fitted_slope, steepest_slope
from tests.benchmarks.suites import SUITES, Suite

FOLDER = Path(suites.__file__).parent
NAMES = [suite.name for suite in SUITES]


def test_every_module_with_figures_is_a_suite() -> None:
    modules = {path.stem: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.py")}
    told = {name for name, text in modules.items() if "\ndef figures(words" in text}
    assert told == set(NAMES)
    assert all(f'SUITE = "{name}"' in modules[name] for name in NAMES)


@pytest.mark.parametrize("suite", SUITES, ids=NAMES)
def test_a_suite_says_what_it_measures_and_how_to_run_it(suite: Suite) -> None:
    assert re.fullmatch(r"[A-Z][^`]{20,99}", suite.title)
    assert f"python -m tests.benchmarks.{suite.name}" in suite.path.read_text(encoding="utf-8")


def test_the_list_names_every_suite(capsys: pytest.CaptureFixture[str]) -> None:
    assert benchmarks.main(["--list"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == NAMES


def test_the_page_has_a_table_for_every_suite() -> None:
    text = report.PAGE.read_text(encoding="utf-8")
    assert re.findall(r"^## (.*)$", text, re.M) == NAMES
    assert report.page(report.told_before()) == text


def test_a_suite_measured_alone_leaves_the_rest_of_the_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(report, "PAGE", tmp_path / "performance.md")
    figures = [Figure("layers", "time", "1 s", "at most 2 s", True), Figure("layers", "a | b", "3")]
    first = {"layers": report.section_text(figures, "2026-11-27", sample=True)}
    report.PAGE.write_text(report.page(first), encoding="utf-8")
    told = report.told_before()
    assert told["layers"].splitlines()[0].startswith("A sample, 2026-11-27, Python 3.")
    assert told["layers"].splitlines()[-2:] == [
        "| time | at most 2 s | 1 s | met |",
        "| a / b |  | 3 |  |",
    ]
    assert told["quilt"] == "Not measured yet."
    assert report.page(told | {"quilt": "New."}).count("| time |") == 1


def test_a_goal_that_is_missed_ends_the_run_with_1(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    missed = at_most("layers", "exponent", 1.3, 1.15)
    for figures, code in (([missed], 1), ([Figure("layers", "memory", "9 MB")], 0)):
        monkeypatch.setattr(benchmarks, "run", lambda suite, words, told=figures: iter(told))
        assert benchmarks.main(["--only", "layers"]) == code
    assert "1.30" in capsys.readouterr().out
    assert line_of(missed).endswith("goal at most 1.15                MISSED")


def test_what_numpy_calls_false_is_a_goal_missed() -> None:
    figure = Figure("tracing", "error", "0.2 mm", "at most 0.1 mm", np.float64(0.2) <= 0.1)
    assert figure.met is False
    assert figure.verdict == "MISSED"


def test_what_is_missing_on_this_machine_is_told_as_a_figure(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def absent(error: Exception) -> Figure:
        def figures(words: list[str]) -> None:
            raise error

        module = type(sys)("suite")
        module.figures = figures  # type: ignore[attr-defined]
        monkeypatch.setattr(child, "import_module", lambda name: module)
        (told,) = child._figures("stitchout", [])
        assert told.met is None
        return told

    assert absent(NotHereError("no browser")).measured == "not run: no browser"
    missing = ModuleNotFoundError("No module named 'playwright'", name="playwright")
    assert absent(missing).measured == "not run: playwright is not installed"
    with pytest.raises(ModuleNotFoundError):
        absent(ModuleNotFoundError("No module named 'applique.x'", name="applique.x"))


def test_a_suite_runs_in_a_process_of_its_own_and_tells_if_it_breaks_off() -> None:
    (figure,) = suites.run(Suite("none"), ())
    assert (figure.measured, figure.met) == ("broke off, exit code 1", False)


def test_a_suite_alone_ends_with_2_where_it_cannot_run() -> None:
    def figures(words: object) -> list[Figure]:
        raise NotHereError("no browser")

    assert run_alone(figures) == 2  # type: ignore[arg-type]


def test_slopes_are_those_of_powers() -> None:
    sizes = [10, 100, 1000]
    assert fitted_slope(sizes, [2e-3 * size**1.5 for size in sizes]) == pytest.approx(1.5)
    assert steepest_slope(sizes, [1, 10, 1000]) == pytest.approx(2)
