"""Every sentence for the user has one form: WHERE: what is wrong; what to do."""

from __future__ import annotations

import re

from tests.sentences import SOMETHING, Sentence, sentences

EVERY = sentences()

NOT_OURS = re.compile(
    r"\b(please|invalid|illegal|failed to|unexpected|unable|cannot|exception|traceback|null)\b"
    r"|\[Errno|\b[A-Z][a-z]+(?:Error|Exception)\b|\w+\(\)",
    re.IGNORECASE,
)
"""Words of programmers, and of programs that blame."""

NAMES = ("Inkscape", "QUILT.toml", "Finished width")
"""What may stand first with a large letter."""

OVER_OTHERS = {
    "nothing was made",
    "nothing was added",
    "no card can be made",
    "quilt.toml can't be used",
    "the layout can't be used",
    "the table of threads can't be used",
    "the block can't be composed",
    "these pieces can't be sewn in this order",
    "some pieces fit no field, not even in stretches",
    "some fabrics can't be laid on these mats",
    "some of the stitches can't be sewn",
    "some of the steps can't be sewn",
    "some of the cut lines can't be read",
    "some of the scraps can't be used",
    "some of the … can't be used",
    "… can't be sewn as it is",
    "…: some of its cut lines can't be cut",
}
"""Headlines: what is wrong and what to do is told above them, in a line for each."""

ENDED_BY_OTHERS = {
    "--paper: …",
    "…: its cut line …",
    "its cut line can't be used: …",
    "…: is no readable SVG: …",
    "… and this has … x …",
}
"""Their remedy is in what is put in last."""


def test_many_are_found() -> None:
    assert len(EVERY) > 500
    assert {found.kind for found in EVERY} == {"exception", "part", "error", "warning", "note"}


def test_a_sentence_begins_small_and_ends_without_a_stop() -> None:
    assert [found for found in EVERY if not _has_form(found.text)] == []


def _has_form(text: str) -> bool:
    said = text.split(": ", 1)[1] if text.startswith(f"{SOMETHING}: ") else text
    begins = not said[:1].isupper() or said.startswith(NAMES)
    return begins and not re.search(r"[.!\s:;]$", said.removesuffix(" ..."))


def test_no_sentence_has_words_of_programmers() -> None:
    assert [found for found in EVERY if NOT_OURS.search(found.text)] == []


def test_whatever_keeps_us_from_working_says_what_to_do() -> None:
    asked = [found for found in EVERY if found.kind in ("exception", "error")]
    exempt = OVER_OTHERS | ENDED_BY_OTHERS
    assert [it for it in asked if ";" not in it.text and it.text not in exempt] == []


def test_no_exemption_is_left_over() -> None:
    assert {found.text for found in EVERY} >= OVER_OTHERS | ENDED_BY_OTHERS


def test_one_sentence_is_one_sentence() -> None:
    """No full stop in its middle; a number, a file's ending and a flag have their own."""
    assert [found for found in EVERY if re.search(r"[a-z]\. [A-Z]", found.text)] == []


def test_a_wrong_one_is_seen() -> None:
    wrong = ("Is wrong", "is wrong.", "…: Is wrong", "is wrong: ")
    assert not any(_has_form(text) for text in wrong)
    assert NOT_OURS.search("the value is invalid")
    assert Sentence("a.py:1", "error", "is wrong") not in EVERY
