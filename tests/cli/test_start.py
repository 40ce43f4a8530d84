"""A command loads what it needs, and no more; the time that it takes is a benchmark."""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path

import pytest

import applique.cli
from applique.cli.commands import COMMANDS
from applique.cli.main import command_parser, main

GEOMETRY = ("numpy", "shapely", "lxml", "pyclipper")
SLOW = (
    *("scipy", "spyrrow", "cv2", "PIL", "pypdfium2", "reportlab", "ezdxf", "pyembroidery"),
    *("tinycss2", "cssselect", "rich", "inkex"),
)
"""Solvers, image libraries, formats and the like."""

LOADED = """
import contextlib, io, json, sys
from applique.cli.main import main

names, lines = json.loads(sys.argv[1])
for words in lines:
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        try:
            code = main(words)
        except SystemExit as ended:
            code = ended.code
    print(json.dumps([code, [name for name in names if name in sys.modules]]))
"""


def loaded(names: Sequence[str], lines: Sequence[Sequence[str]]) -> list[tuple[int, list[str]]]:
    """The exit codes of commands run one after the other in a new process, and which of the modules
    were loaded by then."""
    given = json.dumps([names, lines])
    done = subprocess.run(
        [sys.executable, "-c", LOADED, given], capture_output=True, text=True, check=True
    )
    return [tuple(json.loads(line)) for line in done.stdout.splitlines()]


def test_the_list_of_commands_loads_no_library() -> None:
    lines = [["--help"], [], ["nonsense"]]
    assert loaded(GEOMETRY + SLOW, lines) == [(0, []), (2, []), (2, [])]


def test_no_commands_help_loads_a_library() -> None:
    lines = [[name, "--help"] for name in COMMANDS]
    found = dict(zip(COMMANDS, loaded(GEOMETRY + SLOW, lines), strict=True))
    assert found == {name: (0, []) for name in COMMANDS}


def test_at_work_a_command_loads_only_what_it_needs(tmp_path: Path) -> None:
    drawing, block, file = (str(tmp_path / name) for name in ("sea.svg", "layers.svg", "sea.dst"))
    Path(drawing).write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">'
        '<rect id="sea" fill="#2f6f8f" x="20" y="20" width="20" height="20"/></svg>'
    )
    lines = {
        "layers": ["layers", drawing, "-o", block],
        "refresh": ["refresh", block, "-o", block],
        "check": ["check", block],
        "proof": ["proof", block],
        "card": ["card", block, "-o", str(tmp_path / "card.html")],
        "stitch": ["stitch", block, "-o", file],
        "inspect": ["inspect", file],
        "compare": ["compare", file, block],
        "run-sheet": ["run-sheet", block, "-o", str(tmp_path / "run.html")],
        "stitch-out": ["stitch-out", block, "-o", str(tmp_path / "page.html")],
    }
    found = dict(zip(lines, loaded(SLOW, list(lines.values())), strict=True))
    without = ("layers", "refresh", "check", "proof", "card")
    assert found == {name: (0, [] if name in without else ["pyembroidery"]) for name in lines}


def test_the_list_is_the_same_whether_the_commands_are_loaded_or_not() -> None:
    assert command_parser(()).format_help() == command_parser().format_help()


def test_every_file_with_a_command_is_in_the_list() -> None:
    folder = Path(applique.cli.__path__[0])
    named = {
        path.stem
        for path in folder.glob("*.py")
        if hasattr(import_module(f"applique.cli.{path.stem}"), "add_parser")
    }
    assert named == {command.file for command in COMMANDS.values()}


def test_only_the_command_that_is_asked_for_is_loaded() -> None:
    parser = command_parser(("card",))
    [commands] = [a for a in parser._actions if isinstance(a, argparse._SubParsersAction)]
    assert list(commands.choices) == list(COMMANDS)
    assert [name for name, below in commands.choices.items() if below.description] == ["card"]


def test_a_flag_before_the_command_is_refused_as_one_after_it_is(capsys) -> None:
    for words in (["--loud", "editor", "status"], ["editor", "status", "--loud"]):
        with pytest.raises(SystemExit, match="2"):
            main(words)
        assert "--loud: there is no such flag" in capsys.readouterr().err
