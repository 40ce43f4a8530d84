"""The same input, the same bytes: whatever the process, the folder, the language and the day."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

from tests import every_command
from tests.building.quilts import contents

ROOT = Path(__file__).resolve().parent.parent


def outputs(
    inputs: Path, folder: Path, working: Path, **environment: str
) -> dict[str, dict[str, bytes]]:
    """What all commands write in a process of its own, their inputs copied into a folder first."""
    own = folder / "inputs"
    shutil.copytree(inputs, own)
    out = folder / "out"
    variables = os.environ | {"PYTHONPATH": str(ROOT)} | environment
    call = subprocess.run(
        [sys.executable, "-m", "tests.every_command", str(own), str(out)],
        cwd=working,
        env=variables,
        capture_output=True,
        check=False,
    )
    assert call.returncode == 0, call.stderr.decode(errors="replace")
    return {"inputs": contents(own), "out": contents(out)}


def test_every_command_writes_the_same_bytes_anywhere(tmp_path: Path) -> None:
    inputs = tmp_path / "prepared"
    every_command.write_inputs(inputs)
    every_command.write_sheets(inputs)
    first = outputs(inputs, tmp_path / "a", ROOT, PYTHONHASHSEED="0", TZ="UTC", LC_ALL="C.UTF-8")
    elsewhere = tmp_path / "ein Ordner für Quilts" / "b"
    elsewhere.mkdir(parents=True)
    others = (
        outputs(
            inputs,
            elsewhere,
            elsewhere,
            PYTHONHASHSEED="1",
            TZ="Pacific/Kiritimati",
            LANG="de_DE.UTF-8",
            LC_ALL="C.UTF-8",
            PYTHONUTF8="1",
        ),
        outputs(inputs, tmp_path / "c", tmp_path, PYTHONHASHSEED="4242", TZ="PST8PDT", LC_ALL="C"),
    )
    assert first["out"].keys() >= {"t.svg", "card.pdf", "house.pes", "run.html", "sheet.pdf"}
    for other in others:
        for where, files in first.items():
            assert other[where].keys() == files.keys()
            assert [name for name in files if other[where][name] != files[name]] == []


KNOW_THE_TIME = {
    "applique/cli/watch.py": "how far a long search is; --seconds ends it",
    "applique/editor/cut.py": "the editor's search for cut sheets ends after SEARCH_S",
    "applique/folders.py": "how long another run is waited for",
    "applique/nesting": "searches for sheets end by the clock; their results are kept by digest",
}
"""Files, or rooms, that may import a clock, and what for. Nobody may import chance."""


SOURCES = {
    path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "applique").rglob("*.py"))
}


def importing(*modules: str) -> set[str]:
    """The files, or the rooms that stand for them, that import one of some modules anywhere."""
    line = re.compile(rf"^\s*(?:import|from)\s+(?:{'|'.join(modules)})\b", re.M)
    found = set()
    for name, text in SOURCES.items():
        if line.search(text):
            rooms = [room for room in KNOW_THE_TIME if name.startswith(f"{room}/")]
            found.add(rooms[0] if rooms else name)
    return found


def test_only_these_know_the_time() -> None:
    assert importing("time") == set(KNOW_THE_TIME)


def test_nobody_takes_chances_or_knows_the_day() -> None:
    assert importing("datetime", "random", "uuid", "secrets") == set()


CHANCE = re.compile(r"\b(?:np|numpy)\.random\.(?!default_rng\(\w)|\bos\.urandom\b|\bhash\(")
"""numpy's chance without a seed, the system's, and hashes that differ between processes."""


def test_nothing_is_drawn_by_lot() -> None:
    assert [name for name, text in SOURCES.items() if CHANCE.search(text)] == []
