"""The core names flags; in the editor they are fields of its dialogs."""

from __future__ import annotations

import argparse
import re

import pytest

from applique.cli.main import command_parser
from applique.editor.dialogs import EFFECTS
from applique.editor.said import COMMAND_WITH, in_the_editor
from tests.sentences import SOURCES, words_in

FLAG = r"(?<![\w-])--([a-z][a-z-]*)"
CORE = [path for path in SOURCES if not {"cli", "editor", "pages"} & set(path.parts)]
"""The pages' texts hold names of styles, which look the same."""


@pytest.mark.parametrize("dialog", [*EFFECTS, "save-dst"])
def test_no_sentence_shows_a_flag_in_a_dialog(dialog: str) -> None:
    """A new flag in a sentence must be a field, or stand in the table with its command."""
    for path in CORE:
        for words in words_in(path):
            told = re.sub(
                r"'applique [a-z -]+' on the command line", "", in_the_editor(words, dialog)
            )
            assert re.search(FLAG, told) is None, (path, words)


def test_the_table_names_commands_that_have_the_flag() -> None:
    for flag, command in COMMAND_WITH.items():
        parser: argparse.ArgumentParser = command_parser()
        for word in command.split():
            [below] = [a for a in parser._actions if isinstance(a, argparse._SubParsersAction)]
            parser = below.choices[word]
        assert f"--{flag}" in parser._option_string_actions, command


def test_the_table_has_no_more_than_the_sentences() -> None:
    said = {flag for path in CORE for words in words_in(path) for flag in re.findall(FLAG, words)}
    assert COMMAND_WITH.keys() <= said


@pytest.mark.parametrize(
    ("dialog", "told", "shown"),
    [
        (
            "refresh",
            "use --edges with-piece, or give it a satin",
            "use 'Edges: with-piece' on the page Order of Make Layers, or give it a satin",
        ),
        ("layers", "use --edges with-piece", "use 'Edges: with-piece' on the page Order"),
        (
            "scan",
            "give --dpi (300, say) or --paper",
            "give 'Resolution' on the page Page (300, say) or 'Paper' on the page Page",
        ),
        (
            "refresh",
            "use --replace-edited to have it made anew",
            "use 'Replace steps edited by hand' on the page Refresh to have it made anew",
        ),
        (
            "cut",
            "say which holds with --turn",
            "say which holds with 'applique cut --turn' on the command line",
        ),
        ("cut", "--fringe: is too small", "--fringe: is too small"),
    ],
)
def test_a_flag_is_a_field_with_its_page(dialog: str, told: str, shown: str) -> None:
    assert in_the_editor(told, dialog) == shown
