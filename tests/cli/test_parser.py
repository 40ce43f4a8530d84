"""Wrong words are one sentence with its remedy, and no page of usage."""

from __future__ import annotations

import pytest

from applique.cli.main import main
from applique.cli.parser import in_our_words

LAYERS = ("layers", "a.svg", "-o", "b.svg")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "no command is given; see 'applique --help'"),
        (("layer",), "there is no command 'layer'; did you mean 'layers'?"),
        (("fly",), "there is no command 'fly'; see 'applique --help'"),
        (("library",), "no action is given; see 'applique library --help'"),
        (("library", "lst"), "there is no action 'lst'; did you mean 'list'?"),
        (("editor", "see"), "there is no action 'see'; give install, remove or status"),
        (
            ("layers",),
            "BLOCK.svg and -o OUT.svg are missing; see 'applique layers --help'",
        ),
        (("library", "list"), "SET.svg is missing; see 'applique library list --help'"),
        (
            ("import", "a.svg", "-o", "b.svg"),
            "--width W or --height H is missing; see 'applique import --help'",
        ),
        (
            ("import", "a.svg", "-o", "b.svg", "--width", "50", "--height", "50"),
            "--height: can't be given together with --width; leave one of them out",
        ),
        (
            ("layers", "a.svg", "-o"),
            "-o: what belongs behind it is missing; write it as -o OUT.svg",
        ),
        ((*LAYERS, "c.svg"), "c.svg: is more than is asked for; see 'applique layers --help'"),
        (
            (*LAYERS, "--edgewidth=3"),
            "--edgewidth: there is no such flag; did you mean --edge-width?",
        ),
        ((*LAYERS, "--replace-edited=3"), "--replace-edited: takes no value; leave '3' out"),
        (
            (*LAYERS, "--edge-width", "99"),
            "--edge-width: must lie between 0.8 and 12 mm, not 99; see 'applique layers --help'",
        ),
        (
            (*LAYERS, "--set", "edge-width=99"),
            "--set: edge-width must lie between 0.8 and 12 mm, not 99; "
            "see 'applique layers --help'",
        ),
        (
            (*LAYERS, "--finished", "3"),
            "--finished: '3' is not a size; write width x height, as in 254x254",
        ),
        (
            ("stitch", "a.svg", "-o", "b.pes", "--centre", "x"),
            "--centre: has no choice 'x'; give note, marks or box",
        ),
        (
            ("trace", "a.png", "-o", "b.svg", "--dpi", "fine"),
            "--dpi: 'fine' is no number; give one",
        ),
        (
            ("library", "show", "a.svg", "1", "--version", "x"),
            "--version: 'x' is no whole number; give one",
        ),
    ],
)
def test_what_is_wrong_and_what_to_do(
    words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit, match="2"):
        main(words)
    assert capsys.readouterr().err == f"error: {told}\n"


def test_what_the_library_of_a_later_python_says() -> None:
    said = "argument --face: invalid choice: 'x' (choose from right, wrong)"
    assert in_our_words(said) == "--face: has no choice 'x'; give right or wrong"


def test_what_has_no_form_is_told_as_it_is() -> None:
    assert in_our_words("the words are strange") == "the words are strange"
