"""Dark fabric beneath light, told where it will show."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from applique.model import LaidPiece, Piece
from applique.quilt.shadow import DARKER_BY, LEAST_MM2, LIGHT_FROM, shadowing
from tests.shapes import laid, rectangle, square

LIGHTNESS = {"#ffffff": 100.0, "#eeeeee": 94.0, "#888888": 57.0, "#000000": 0.0}
PALE = ("morning mist", 95.0)


def fabric(shape: object, label: str, colour: str, name: str, **settings: object) -> LaidPiece:
    made = laid(shape, label=label, **settings)  # type: ignore[arg-type]
    return replace(made, piece=replace(made.piece, colour=colour, fabric=name))


ROCK = fabric(square(60.0), "5", "#000000", "rock")
TOWER = fabric(rectangle(20.0, -40.0, 30.0, 80.0), "8", "#ffffff", "lime wash")


def by_colour(lightness: Mapping[str, float]) -> Callable[[Piece], float]:
    """Fabrics as light as their colours."""
    return lambda piece: lightness[piece.colour]


def told(*pieces: LaidPiece, background: tuple[str, float] = PALE) -> list[str]:
    return [it.sentence() for it in shadowing(pieces, background, by_colour(LIGHTNESS))]


def test_a_dark_rock_shadows_through_a_white_tower() -> None:
    (finding,) = shadowing([ROCK, TOWER], PALE, by_colour(LIGHTNESS))
    assert (finding.severity, finding.code, finding.object) == ("warning", "shadow", "8")
    assert finding.message == (
        "rock (5) will shadow through lime wash; line it, cut the dark fabric away beneath "
        "(hidden-fabric: cut-away), or choose another"
    )
    assert finding.place is not None
    x, y = finding.place
    assert 20 < x < 50
    assert 0 < y < 40


def test_light_beneath_dark_and_alike_beneath_alike_show_nothing() -> None:
    dark_tower = fabric(TOWER.whole, "8", "#000000", "iron")
    pale_rock = fabric(square(60.0), "5", "#eeeeee", "sand")
    assert told(pale_rock, dark_tower) == []
    assert told(pale_rock, TOWER) == []


def test_the_thresholds_are_of_lightness() -> None:
    sure = {"#ffffff": LIGHT_FROM, "#000000": LIGHT_FROM - DARKER_BY - 0.1}
    near = sure | {"#000000": LIGHT_FROM - DARKER_BY}
    deep = {"#ffffff": LIGHT_FROM - 0.1, "#000000": 0.0}
    ground = ("sky", LIGHT_FROM)
    found = [len(shadowing([ROCK, TOWER], ground, by_colour(each))) for each in (sure, near, deep)]
    assert found == [1, 0, 0]


def test_what_is_cut_away_beneath_shows_no_more() -> None:
    rock = fabric(square(60.0), "5", "#000000", "rock", hidden_fabric="cut-away")
    assert told(ROCK, TOWER) != []
    assert told(rock, TOWER) == []


def test_what_lies_between_hides_what_is_beneath() -> None:
    lining = fabric(square(60.0), "lining", "#ffffff", "lining")
    shadowed = shadowing([ROCK, lining, TOWER], PALE, by_colour(LIGHTNESS))
    assert [finding.object for finding in shadowed] == ["lining"]


def test_an_underlap_alone_is_no_shadow() -> None:
    """It can't be cut away, so there is nothing to be done but to line the piece."""
    underlap = TOWER.piece.settings.underlap_mm
    cut_back = fabric(rectangle(-30.0, 0.0, 50.0 + underlap, 60.0), "5", "#000000", "rock")
    reaching = fabric(rectangle(-30.0, 0.0, 50.0 + 3 * underlap, 60.0), "5", "#000000", "rock")
    assert told(cut_back, TOWER) == []
    assert len(told(reaching, TOWER)) == 1


def test_what_is_covered_from_above_is_not_seen() -> None:
    cover = fabric(rectangle(10.0, -5.0, 50.0, 50.0), "9", "#000000", "iron")
    assert told(ROCK, TOWER, cover) == []


def test_a_spot_of_shadow_is_let_be() -> None:
    pane = fabric(square(LEAST_MM2**0.5 + 2, 30.0, 10.0), "2", "#000000", "pane")
    small = fabric(square(LEAST_MM2**0.5 - 2, 30.0, 10.0), "2", "#000000", "pane")
    assert len(told(pane, TOWER)) == 1
    assert told(small, TOWER) == []


def test_a_dark_background_shadows_too() -> None:
    (sentence,) = told(TOWER, background=("midnight", 12.0))
    assert sentence.startswith("8: midnight will shadow through lime wash; ")
    both = told(ROCK, TOWER, background=("midnight", 12.0))
    assert both[0].startswith("8: rock (5) and midnight will shadow through lime wash; ")


def test_hidden_pieces_and_an_empty_block_have_no_shadow() -> None:
    assert told(replace(ROCK, hidden=True), TOWER) == []
    assert told() == []
