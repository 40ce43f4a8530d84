"""Hostile drawings: every one is refused in a sentence, or read for what it is worth."""

from __future__ import annotations

import pytest

from tests.hostile.drawings_outside import OUTSIDE
from tests.hostile.drawings_paths import MANY, NUMBERS
from tests.hostile.drawings_structure import CLONES, NAMES_AND_STYLES, PAGES, TRANSFORMS
from tests.hostile.drawings_xml import NOT_XML, XML, drawing
from tests.hostile.running import COMMANDS, Make, Runner
from tests.hostile.tagged import CUTS, STITCHES, TAGS

READ = frozenset({"utf-7", "utf-32"})
"""What is odd and yet a drawing."""

DRAWN = {**CLONES, **TRANSFORMS, **PAGES, **NAMES_AND_STYLES, **NUMBERS, **MANY}


@pytest.mark.parametrize("name", NOT_XML)
def test_what_is_no_drawing_is_refused(name: str, runner: Runner) -> None:
    told = runner.run("IN.svg", NOT_XML[name](), "layers")
    assert told.faults() == []
    assert told.code == (0 if name in READ else 1)


REFUSED = frozenset(
    {
        "billion laughs",
        "laughs in an attribute",
        "quadratic blow-up",
        "parameter entities",
        "entity of itself",
        "undefined entity",
        "100,000 nested groups",
        "million empty elements",
    }
)


@pytest.mark.parametrize("name", XML)
def test_what_blows_up_is_refused_and_what_is_merely_odd_is_read(name: str, runner: Runner) -> None:
    told = runner.run("IN.svg", XML[name](), "layers")
    assert told.faults() == []
    assert told.code == (1 if name in REFUSED else 0)


@pytest.mark.parametrize("command", ["layers", "import"])
@pytest.mark.parametrize("name", OUTSIDE)
def test_nothing_outside_a_drawing_is_fetched_or_run(
    name: str, command: str, runner: Runner
) -> None:
    """The square is sewn, and whatever is asked for besides is left alone."""
    told = runner.run("IN.svg", OUTSIDE[name](), command)
    assert told.faults() == []
    assert told.code == 0


@pytest.mark.parametrize("command", ["layers", "import"])
@pytest.mark.parametrize("name", DRAWN)
def test_what_is_drawn_keeps_its_bounds(name: str, command: str, runner: Runner) -> None:
    told = runner.run("IN.svg", DRAWN[name](), command)
    assert told.faults() == []


@pytest.mark.parametrize("command", ["stitch", "proof"])
@pytest.mark.parametrize("name", STITCHES)
def test_stitches_keep_their_bounds(name: str, command: str, runner: Runner) -> None:
    assert runner.run("IN.svg", STITCHES[name](), command).faults() == []


@pytest.mark.parametrize("name", TAGS)
def test_tags_keep_their_bounds(name: str, runner: Runner) -> None:
    assert runner.run("IN.svg", TAGS[name](), "layers").faults() == []


@pytest.mark.parametrize("name", CUTS)
def test_cut_lines_keep_their_bounds(name: str, runner: Runner) -> None:
    assert runner.run("IN.svg", CUTS[name](), "cut").faults() == []


EVERYWHERE: dict[str, Make] = {
    "billion laughs": XML["billion laughs"],
    "entity of a pipe": OUTSIDE["entity of a pipe"],
    "clones doubled 30 times": CLONES["clones doubled 30 times"],
    "star of 1,000 points": MANY["star of 1,000 points"],
    "id of a million letters": NAMES_AND_STYLES["id of a million letters"],
}

FOR_DRAWINGS = sorted(set(COMMANDS) - {"layers", "import", "trace", "inspect", "compose", "quilt"})


@pytest.mark.parametrize("command", FOR_DRAWINGS)
@pytest.mark.parametrize("name", EVERYWHERE)
def test_no_command_trusts_a_drawing(name: str, command: str, runner: Runner) -> None:
    told = runner.run("IN.svg", EVERYWHERE[name](), command, good=drawing())
    assert told.code == 2 or told.faults() == []
