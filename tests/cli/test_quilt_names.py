"""Whatever a block is called, its files have plain names and lie where they belong."""

from __future__ import annotations

import re

import pytest
from lxml import html

from tests.cli.quilt_dots import Dots, block

# What no system of files takes for the name of a folder (published by the maker of one of them:
# "Naming Files, Paths, and Namespaces").
RESERVED = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?", re.I)


@pytest.mark.parametrize(
    "name",
    [
        '"../../up"',
        '".."',
        '"."',
        '"/etc/passwd"',
        "'..\\..\\up'",
        '"C:up"',
        '"index.html"',
        '".underlap"',
        '"front"',
        '"Cutting"',
        '"-rf"',
        '"a  b "',
        '"' + "long " * 40 + '"',
        '"😀"',
        '"海の日"',
        '"ספינה"',
        '"Île d\'Or / east"',
        '"<b>&amp;"',
    ],
)
def test_files_have_plain_names_and_lie_in_the_folder(name: str, dots: Dots) -> None:
    dots.write(block(name, "dot.svg"))
    told = dots.build()
    assert (told.code, told.errors) == (0, [])
    [folder] = (dots.out / "blocks").iterdir()
    assert dots.has_built(folder.name)
    assert {path.name for path in dots.out.iterdir()} == {
        ".underlap", "blocks", "cutting", "index.html", "shopping-list.html", "shopping-list.txt"
    }  # fmt: skip
    assert dots.strangers() == []
    for path in (dots.out / "blocks").rglob("*"):
        assert re.fullmatch(r"[a-z0-9][a-z0-9.-]{0,90}", path.name), path


def test_the_pages_show_the_name_as_it_was_written(dots: Dots) -> None:
    name = "<b>&amp; Île 海"
    dots.write(block(f'"{name}"', "dot.svg"))
    assert dots.build().code == 0
    pages = [dots.out / "index.html", *dots.out.glob("blocks/*/*.html")]
    assert len(pages) == 3
    for page in pages:
        text = html.fromstring(page.read_text(encoding="utf-8")).text_content()
        assert name in text, page.name


def test_two_names_without_a_plain_letter_have_files_of_their_own(dots: Dots) -> None:
    dots.write(block('"😀"', "dot.svg") + block('"海"', "dot.svg"))
    assert dots.build().code == 0
    assert len(list((dots.out / "blocks").iterdir())) == 2


@pytest.mark.parametrize("name", ["CON", "nul", "Com1", "lpt9", "aux."])
def test_no_folder_has_a_name_that_a_system_keeps_for_itself(name: str, dots: Dots) -> None:
    dots.write(block(f'"{name}"', "dot.svg"))
    assert dots.build().code == 0
    for path in dots.out.rglob("*"):
        assert not RESERVED.fullmatch(path.name), path


ODD = ("a\\u202Eb", "a\\nb", "\\u0001", "\\u0000", "\\u001b[2J", "", "  ")


@pytest.mark.parametrize("name", ODD)
def test_a_name_that_can_not_be_shown_is_refused(name: str, dots: Dots) -> None:
    dots.write(block(f'"{name}"', "dot.svg"))
    told = dots.build()
    assert told.code == 1
    assert "line 10" in told.text_of_errors
    assert not dots.out.exists()


@pytest.mark.parametrize("name", ODD[:5])
def test_what_can_not_be_shown_is_told_in_signs_that_can(name: str, dots: Dots) -> None:
    """Nothing that moves the cursor, or turns the sentence round, gets to the terminal."""
    dots.write(block(f'"{name}"', "dot.svg"))
    lines = dots.build().text_of_errors.splitlines()
    assert len(lines) == 2
    assert all(each.isprintable() for each in lines), lines
