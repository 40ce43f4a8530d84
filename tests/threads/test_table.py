"""Tables of threads: ours, a user's own, and all that may be wrong with one."""

import itertools

import pytest

from applique.errors import InputError
from applique.model import Thread
from applique.threads.difference import difference
from applique.threads.nearest import nearest_spool
from applique.threads.spool import Spool
from applique.threads.table import read_spools, usual_spools

ROW = '[[thread]]\nname = "harbour blue"\ncolour = "#2F6F8F"\n'


def wrong(text: str) -> list[str]:
    with pytest.raises(InputError) as refusal:
        read_spools(text)
    return [finding.sentence() for finding in refusal.value.findings]


def test_a_spool_as_it_is_written() -> None:
    assert read_spools(ROW + "weight = 60\nmetres = 200\n") == (
        Spool("harbour blue", "#2f6f8f", "60", 200.0),
    )


def test_a_spool_needs_only_a_name_and_a_colour() -> None:
    (spool,) = read_spools(ROW)
    assert (spool.weight, spool.length_m) == ("40", 1000.0)
    assert spool.thread == Thread("#2f6f8f", "harbour blue")


def test_the_usual_table_has_plain_colours_that_can_be_told_apart() -> None:
    spools = usual_spools()
    assert len(spools) >= 60
    assert len({spool.name for spool in spools}) == len(spools)
    assert min(difference(a.colour, b.colour) for a, b in itertools.combinations(spools, 2)) > 4


def test_the_usual_table_is_spread_over_all_colours() -> None:
    levels = ("00", "40", "80", "c0", "ff")
    grid = ["#" + "".join(parts) for parts in itertools.product(levels, repeat=3)]
    furthest = max(difference(c, nearest_spool(c, usual_spools()).colour) for c in grid)
    # Thread is dyed in no pure screen colour; 20 is still "of that hue".
    assert furthest < 20


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "names no threads; add a [[thread]], in double brackets, for each"),
        ("[thread]\nname = 'a'", "names no threads; add a [[thread]], in double brackets"),
        ("title = 3\n" + ROW, "title: is nothing that a table of threads has; remove it"),
        (ROW + "hue = 3", "harbour blue (thread 1): 'hue' is nothing that a thread has; remove it"),
        ('[[thread]]\ncolour = "#123456"', "a thread (thread 1): has no name"),
        ('[[thread]]\ncolour = "#123456"\nname = "a\\u0000"', "a character that can't be written"),
        ('[[thread]]\nname = "a"', "colour must be written as #rrggbb, not None"),
        ('[[thread]]\nname = "a"\ncolour = "blue"', "as #rrggbb, not 'blue'"),
        (ROW + "weight = 4000", "weight must be a whole number between 8 and 150"),
        pytest.param(ROW + f"weight = '{'9' * 5000}'", "weight must be a whole", id="5000 digits"),
        (ROW + "weight = true", "weight must be a whole number"),
        (ROW + "metres = 0", "metres must be a number above 0"),
        (ROW + "metres = nan", "metres must be a number above 0"),
        (ROW + "metres = true", "metres must be a number above 0"),
        (ROW + ROW, "harbour blue (thread 2): its name is that of thread 1; give it another"),
    ],
)
def test_a_table_that_can_not_be_used_says_why(text: str, sentence: str) -> None:
    assert any(sentence in told for told in wrong(text))


def test_everything_wrong_is_told_at_once() -> None:
    assert len(wrong(ROW + "metres = 0\n" + ROW + "weight = 1\n")) == 3


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[thread]]\nname = = 3", "line 2"),
        ("a = " + "[" * 5000, "can't be read"),
        ("a = " + "9" * 5000, "a number in it is far too long"),
    ],
)
def test_text_that_is_no_table_is_refused(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_spools(text)
