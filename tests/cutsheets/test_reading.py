"""What is cut of layered documents, by fabric."""

import pytest

from applique.cutsheets.reading import read_lots
from applique.errors import InputError
from tests.cutsheets.documents import REQUEST, lots_in, whale
from tests.shapes import drawing


def test_what_is_cut_of_one_document() -> None:
    lots = lots_in()
    assert [(lot.name, len(lot.pieces)) for lot in lots.lots] == [("sea blue", 2), ("sand", 1)]
    assert lots.letters == {}
    assert lots.colours == {"sea blue": "#2f6f8f", "sand": "#d9c58b"}


def test_documents_of_one_name_are_told_apart() -> None:
    lots = read_lots([("whale", whale()), ("whale", whale()), ("whale", whale())], REQUEST)
    assert lots.letters == {"A": "whale", "B": "whale 2", "C": "whale 3"}
    assert [piece.mark for piece in lots.lots[1].pieces] == ["A-2", "B-2", "C-2"]


def test_the_document_without_cut_lines_is_named() -> None:
    with pytest.raises(InputError, match=r"^gull: there are no cut lines; use"):
        read_lots([("whale", whale()), ("gull", drawing(""))], REQUEST)
    with pytest.raises(InputError, match=r"^there are no cut lines"):
        read_lots([("gull", drawing(""))], REQUEST)
