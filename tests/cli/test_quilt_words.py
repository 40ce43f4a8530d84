"""The words of `applique quilt`, and the schema that it writes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from applique.cli.main import main
from tests.conftest import SAMPLES

ROOT = SAMPLES.parent
PROJECT = str(SAMPLES / "harbour-quilt.toml")


def test_the_schema_that_is_written_is_the_one_that_is_shipped(tmp_path: Path, capsys) -> None:
    path = tmp_path / "new" / "quilt.schema.json"
    assert main(["quilt", "--write-schema", str(path)]) == 0
    shipped = ROOT / "applique" / "quilt" / "quilt.schema.json"
    assert path.read_bytes() == shipped.read_bytes()
    assert json.loads(path.read_text(encoding="utf-8"))["title"] == "quilt.toml"
    assert '"#:schema quilt.schema.json"' in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "QUILT.toml or -o DIR is missing; write applique quilt"),
        ((PROJECT,), "QUILT.toml or -o DIR is missing; write applique quilt"),
        (("-o", "out"), "QUILT.toml or -o DIR is missing; write applique quilt"),
        (("--write-schema", "quilt.toml"), "the schema is written as .json"),
        ((PROJECT, "--write-schema", "s.json"), "--write-schema: builds nothing; leave"),
        ((PROJECT, "-o", "out", "--block", "Kraken"), "the quilt has no block Kraken"),
        ((PROJECT, "-o", "out", "--week", "40"), "no block that was asked for is of week 40"),
        ((PROJECT, "-o", "out", "--week", "0"), "'0' is no week"),
        ((PROJECT, "-o", "out", "--jobs", "many"), "'many' is no number of jobs"),
    ],
)
def test_wrong_words_are_refused_and_write_nothing(
    words: tuple[str, ...], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    monkeypatch.chdir(tmp_path)
    try:
        code = main(["quilt", *words])
    except SystemExit as stop:
        code = int(str(stop.code))
    assert code == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_project_that_can_not_be_read_is_named(tmp_path: Path, capsys) -> None:
    path = tmp_path / "quilt.toml"
    for make, said in (
        (lambda: None, "can't be opened"),
        (lambda: path.write_text("name = "), "can't be read"),
        (lambda: path.write_bytes(b"name = '\xff'"), "is no text in UTF-8"),
    ):
        make()
        assert main(["quilt", str(path), "-o", str(tmp_path / "out")]) == 1
        told = capsys.readouterr().err
        assert told.count(str(path)) == 1
        assert said in told
    assert not (tmp_path / "out").exists()
