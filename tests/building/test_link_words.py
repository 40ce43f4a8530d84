"""What the index calls files."""

import pytest

from applique.building.link_words import cut_words, natural_order, sewn_words


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("blocks/gull/hoopings/gull-hooping-2.dst", "Hooping 2: stitches"),
        ("blocks/gull/hoopings/gull-hooping-12.pdf", "Hooping 12: template"),
        ("blocks/gull/hoopings/gull-pattern-left-wing.pdf", "Pattern of left-wing"),
        ("blocks/gull/hoopings/gull-hoopings.png", "Hoopings at a glance"),
        ("blocks/gull/hoopings/gull.pes", "Stitches"),
    ],
)
def test_files_beside_the_machine(name: str, words: str) -> None:
    assert sewn_words(name, "gull") == words


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("cutting/sea-blue/sea-blue-1.svg", "sheet 1 (SVG)"),
        ("cutting/sea-blue/sea-blue-10.dxf", "sheet 10 (DXF)"),
        ("cutting/sea-blue/sea-blue-1.pdf", "pattern 1"),
        ("cutting/sea-blue/maps.pdf", "maps"),
    ],
)
def test_files_to_cut_by(name: str, words: str) -> None:
    assert cut_words(name) == words


def test_numbers_stand_in_their_order() -> None:
    assert natural_order(["a-10", "a-2", "b-1", "a-1"]) == ["a-1", "a-2", "a-10", "b-1"]
