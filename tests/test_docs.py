"""Documents that are generated are fresh; links lead somewhere; commands exist."""

from __future__ import annotations

import argparse
import importlib.util
import re
from pathlib import Path

import pytest

from applique.cli.main import command_parser

ROOT = Path(__file__).resolve().parent.parent
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]


def test_the_settings_page_is_fresh() -> None:
    """`python docs/make_settings.py` rewrites it."""
    spec = importlib.util.spec_from_file_location("make", ROOT / "docs" / "make_settings.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    assert (ROOT / "docs" / "settings.md").read_text(encoding="utf-8") == module.settings_page()


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]*)(#[^)]*)?\)", page.read_text(encoding="utf-8")):
        path = target[0]
        if path and "://" not in path:
            assert (page.parent / path).exists(), path


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_anchors_are_headings(page: Path) -> None:
    for path, anchor in re.findall(r"\]\(([^)#]*)#([^)]*)\)", page.read_text(encoding="utf-8")):
        target = page.parent / path if path else page
        headings = re.findall(r"^#+ (.*)$", target.read_text(encoding="utf-8"), re.M)
        slugs = {re.sub(r"[^\w -]", "", h.lower()).replace(" ", "-") for h in headings}
        assert anchor in slugs


OTHER_FLAGS = {
    "--rewrite-goldens",  # pytest's own, here
    "--export-filename",  # the editor's
    *(
        "--sample",
        "--seed",
        "--sweep",
        "--with",
        "--pages",
        "--group",
    ),  # the sweep's, the benchmarks', uv's
}
"""Flags of other commands than `applique`."""


def words_of(parser: argparse.ArgumentParser) -> tuple[set[str], set[str]]:
    """The commands under a parser, and all flags of it and of them."""
    commands: set[str] = set()
    flags = {flag for action in parser._actions for flag in action.option_strings}
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for name, below in action.choices.items():
                commands |= {name, *words_of(below)[0]}
                flags |= words_of(below)[1]
    return commands, flags


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_commands_and_flags_in_the_documents_exist(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    commands, flags = words_of(command_parser())
    assert set(re.findall(r"`?applique ([a-z-]+)\b", text)) <= commands
    assert set(re.findall(r"`?applique library ([a-z]+)\b", text)) <= commands
    assert set(re.findall(r"(--[a-z][a-z-]+)", text)) <= flags | OTHER_FLAGS


def test_the_readme_has_its_two_commands() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    block = re.search(r"```\n(python3 -m venv.*?)```", text, re.S)
    assert block is not None
    commands = block[1].strip().splitlines()
    assert len(commands) == 2
    assert all(command in run for command in commands)


def test_the_edge_style_that_is_explained_is_the_one_there_is() -> None:
    page = (ROOT / "docs" / "new-edge.md").read_text(encoding="utf-8")
    code = (ROOT / "applique" / "stitches" / "straight.py").read_text(encoding="utf-8")
    block = re.search(r"```python\n(.*?)```", page, re.S)
    assert block is not None
    assert block[1].strip() in code
