"""Documents that are generated are fresh; links lead somewhere; commands are what they are called,
and nothing that a user can do is left out."""

from __future__ import annotations

import argparse
import importlib.util
import re
import shlex
from dataclasses import fields
from pathlib import Path

import pytest

from applique.cli.main import command_parser
from applique.editor.dialogs import EFFECTS, MENU
from applique.export.formats import FORMATS, Format
from applique.library.layout import read_layout

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
    *("--user", "--force", "--reinstall"),  # those of pip, pipx and uv, to install
    *(
        "--executions",
        "--list",
        "--quick",
        "--reader",
        "--cov",
        "--sample",
        "--seed",
        "--sweep",
        "--with",
        "--with-atheris",
        "--write",
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


@pytest.fixture(scope="module")
def parser() -> argparse.ArgumentParser:
    return command_parser()


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_commands_and_flags_in_the_documents_exist(
    page: Path, parser: argparse.ArgumentParser
) -> None:
    text = page.read_text(encoding="utf-8")
    commands, flags = words_of(parser)
    assert set(re.findall(r"`applique ([a-z][a-z-]*)\b", text)) <= commands
    assert set(re.findall(r"`applique library ([a-z]+)\b", text)) <= commands
    assert set(re.findall(r"(--[a-z][a-z-]+)", text)) <= flags | OTHER_FLAGS


def command_lines(text: str) -> list[str]:
    """What stands behind `applique` in the blocks of a page, without the words that explain it
    and that begin after two spaces."""
    lines = [
        line
        for block in re.findall(r"^```\w*\n(.*?)^```", text, re.S | re.M)
        for line in block.splitlines()
    ]
    commands = [part.strip() for line in lines for part in re.split(r" && |; ", line)]
    found = [re.search(r"(?:^|\brun )applique (\S.*)", command) for command in commands]
    return [re.split(r"  +", match[1])[0] for match in found if match]


SHOWN = [(page, line) for page in PAGES for line in command_lines(page.read_text("utf-8"))]


@pytest.mark.parametrize(("page", "line"), SHOWN, ids=lambda value: getattr(value, "name", value))
def test_every_command_that_is_shown_is_understood(
    page: Path, line: str, parser: argparse.ArgumentParser, capsys: pytest.CaptureFixture[str]
) -> None:
    """Names of files and folders are not looked at; all else is as in earnest."""
    try:
        arguments = parser.parse_args(shlex.split(line))
    except SystemExit:
        pytest.fail(f"{page.name}: applique {line}\n{capsys.readouterr().err}")
    assert callable(arguments.run)


def test_every_command_is_shown_in_the_documents() -> None:
    commands = next(
        set(action.choices)
        for action in command_parser()._actions
        if isinstance(action, argparse._SubParsersAction)
    )
    in_docs = {line.split()[0] for page, line in SHOWN if page.parent.name == "docs"}
    assert commands <= in_docs


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_flags_beside_a_command_are_its_own(page: Path, parser: argparse.ArgumentParser) -> None:
    """`applique hoop --compare` within a sentence names a flag of `hoop`."""
    (subparsers,) = (a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
    for words in re.findall(r"`applique ([^`\n]+)`", page.read_text(encoding="utf-8")):
        command, *rest = words.split()
        flags = {word.partition("=")[0] for word in rest if word.startswith("--")}
        if command in subparsers.choices:
            assert flags <= words_of(subparsers.choices[command])[1], words


@pytest.mark.parametrize("title", [dialog.title for dialog in EFFECTS.values()])
def test_every_entry_of_the_editors_menu_is_told_by_its_name(title: str) -> None:
    pages = [page.read_text(encoding="utf-8") for page in PAGES if page.name != "CHANGELOG.md"]
    words = rf"Extensions > {MENU} >\s+(\*\*)?{re.escape(title)}\b"
    assert any(re.search(words, text) for text in pages)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_no_page_sends_to_an_entry_that_the_menu_does_not_have(page: Path) -> None:
    text = re.sub(r"\s+", " ", page.read_text(encoding="utf-8").replace("**", ""))
    for said in re.findall(rf"Extensions > {MENU} > (.{{4,20}})", text):
        assert any(said.startswith(dialog.title) for dialog in EFFECTS.values()), said


def test_every_format_has_its_row() -> None:
    text = (ROOT / "docs" / "formats.md").read_text(encoding="utf-8")
    assert set(re.findall(r"^\| (\w{3})(?: \(version 6\))? \|", text, re.M)) == set(FORMATS)


def test_the_index_leads_to_every_page() -> None:
    index = ROOT / "docs" / "README.md"
    linked = set(re.findall(r"\]\(([^)#]*)\)", index.read_text(encoding="utf-8")))
    pages = {page.name for page in (ROOT / "docs").glob("*.md")} - {"README.md"}
    assert pages <= linked


def test_every_room_is_told_of() -> None:
    """A room is a folder of the package, or a file right in it."""
    page = (ROOT / "docs" / "architecture.md").read_text(encoding="utf-8")
    told = set(re.findall(r"\w+", " ".join(re.findall(r"^\| (`[^|]*) \|", page, re.M))))
    rooms = {
        path.stem
        for path in (ROOT / "applique").iterdir()
        if (path / "__init__.py").exists() or path.suffix == ".py"
    }
    assert rooms - told == {"__init__"} & rooms


def test_every_file_that_a_room_is_told_to_have_is_there() -> None:
    page = (ROOT / "docs" / "architecture.md").read_text(encoding="utf-8")
    missing = []
    for room, told in re.findall(r"^\| `(\w+)/` \| (.*) \|$", page, re.M):
        for name in " ".join(re.findall(r"`([^`]+)`", told)).split():
            folder = ROOT / "applique" / room
            stem = name.removesuffix(".py").rstrip("/")
            there = [*folder.glob(f"{stem}.py"), *folder.glob(stem)]
            if not there and not (name.endswith("/") and (folder.parent / stem).is_dir()):
                missing.append(f"{room}/{name}")
    assert missing == []


def test_the_readme_has_its_two_commands() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    block = re.search(r"```\n(python3 -m venv.*?)```", text, re.S)
    assert block is not None
    commands = block[1].strip().splitlines()
    assert len(commands) == 2
    assert all(command in run for command in commands)


def test_the_row_of_a_format_that_is_explained_is_the_one_there_is() -> None:
    page = (ROOT / "docs" / "new-format.md").read_text(encoding="utf-8")
    code = (ROOT / "applique" / "export" / "formats.py").read_text(encoding="utf-8")
    block = re.search(r"```python\n(.*?)```", page, re.S)
    assert block is not None
    assert block[1].strip() in code


def test_the_fields_of_a_format_that_are_explained_are_all_there_are() -> None:
    page = (ROOT / "docs" / "new-format.md").read_text(encoding="utf-8")
    rows = " ".join(re.findall(r"^\| (`[^|]*) \|", page, re.M))
    assert set(re.findall(r"`(\w+)`", rows)) == {field.name for field in fields(Format)}


def test_the_layout_that_is_shown_can_be_read() -> None:
    page = (ROOT / "docs" / "compose.md").read_text(encoding="utf-8")
    block = re.search(r"```toml\n(.*?)```", page, re.S)
    assert block is not None
    layout = read_layout(block[1])
    assert (layout.block, len(layout.rows)) == ("Evening harbour", 2)


def test_the_edge_style_that_is_explained_is_the_one_there_is() -> None:
    page = (ROOT / "docs" / "new-edge.md").read_text(encoding="utf-8")
    code = (ROOT / "applique" / "stitches" / "straight.py").read_text(encoding="utf-8")
    block = re.search(r"```python\n(.*?)```", page, re.S)
    assert block is not None
    assert block[1].strip() in code
