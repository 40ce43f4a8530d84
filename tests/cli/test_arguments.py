"""Flags are made from the settings table."""

import argparse

import pytest

from applique.cli.arguments import add_setting_flags, ids, settings_from
from applique.settings import SPECS


@pytest.fixture
def parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(allow_abbrev=False)
    add_setting_flags(parser)
    return parser


@pytest.mark.parametrize("name", SPECS)
def test_every_setting_has_a_flag(parser: argparse.ArgumentParser, name: str) -> None:
    spec = SPECS[name]
    value = spec.choices[-1] if spec.choices else f"{spec.low:g}"
    given = settings_from(parser.parse_args([f"--{name}", value]))
    assert given == {name: spec.parse(value)}


def test_nothing_given_is_nothing_set(parser: argparse.ArgumentParser) -> None:
    assert settings_from(parser.parse_args([])) == {}


def test_set_takes_any_setting_again_and_again(parser: argparse.ArgumentParser) -> None:
    words = ["--set", "edge-width=3", "--set", "edge=blanket"]
    assert settings_from(parser.parse_args(words)) == {"edge-width": 3.0, "edge": "blanket"}


def test_of_two_words_for_one_setting_the_last_holds(parser: argparse.ArgumentParser) -> None:
    words = ["--edge-width", "3", "--set", "edge-width=2"]
    assert settings_from(parser.parse_args(words)) == {"edge-width": 2.0}


def test_flags_are_never_abbreviated(parser: argparse.ArgumentParser) -> None:
    with pytest.raises(SystemExit):
        parser.parse_args(["--edge-w", "3"])


def test_ids_are_split_at_commas() -> None:
    assert ids("a, b,,c ") == ("a", "b", "c")


@pytest.mark.parametrize("text", ["", " , "])
def test_a_selection_of_nothing_does_not_take_everything(text: str) -> None:
    with pytest.raises(argparse.ArgumentTypeError, match="names no id"):
        ids(text)
