"""TOML texts: what is taken, and what is refused before anybody works with it."""

import pytest

from applique.errors import InputError
from applique.tomltext import read_toml


def test_a_text_is_read_as_it_stands() -> None:
    text = 'name = "Gull"\nrows = [["A", "B"]]\n[machine]\nspeed = 700\n'
    assert read_toml(text, "quilt.toml") == {
        "name": "Gull",
        "rows": [["A", "B"]],
        "machine": {"speed": 700},
    }


def test_an_integer_of_many_digits_is_left_to_who_asked_for_it() -> None:
    assert read_toml("speed = 1" + "0" * 400, "quilt.toml") == {"speed": 10**400}


def test_dots_in_a_text_make_no_tables() -> None:
    dots = "a." * 300
    assert read_toml(f'name = "{dots}"', "quilt.toml") == {"name": dots}


LONG = "a number in it is far too long; shorten it"
DEEP = "it is nested too deeply; put fewer tables into one another"


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        pytest.param("name = ", "Invalid value (at end of document); mend it there", id="no TOML"),
        pytest.param("a = " + "9" * 5000, LONG, id="digits"),
        pytest.param("a = [0x" + "f" * 5000 + "]", LONG, id="hex"),
        pytest.param("a = " + "[" * 3000, DEEP, id="arrays"),
        pytest.param("a = " + "[" * 60 + "]" * 60, DEEP, id="some arrays"),
        pytest.param("a." * 60_000 + "a = 1", DEEP, id="a key"),
        pytest.param("[" + "a . " * 60_000 + "a]", DEEP, id="a header"),
        pytest.param("x = {" + '"a".' * 60_000 + "a = 1}", DEEP, id="inline"),
    ],
)
def test_what_can_not_be_read_is_one_sentence(text: str, complaint: str) -> None:
    with pytest.raises(InputError) as refused:
        read_toml(text, "quilt.toml")
    assert str(refused.value) == f"quilt.toml can't be read: {complaint}"
