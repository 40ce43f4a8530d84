"""The pages of a card, from a card made by hand."""

from dataclasses import replace

import pytest
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.curves import flatten
from applique.model import Frame
from applique.paper.card import NoRoom, card_printout
from applique.paper.content import Card, CardPiece, Pause
from applique.paper.drawing import Group, Item, Path, Printout, Text
from applique.paper.laying import laying_drawing
from applique.paper.sizes import sheet_mm
from applique.paper.words import inches, length_words, pause_words
from tests.shapes import rectangle

A4 = sheet_mm("a4")


def piece(label: str, shape: MultiPolygon, pause: int, shown: BaseGeometry | None = None, **more):
    return CardPiece(
        label, "sea blue", "#2f6f8f", "satin", "cut-first", (), shape, shape, shown or shape,
        pause=pause, turn=1, **more,
    )  # fmt: skip


SEA, ROCK = rectangle(10, 60, 80, 30), rectangle(40, 40, 20, 35)
CARD = Card(
    "Harbour",
    Frame(10.0, 10.0, 80.0, 80.0, 6.35),
    "sky",
    "#cfe3ea",
    (
        piece("1", SEA, 2, SEA.difference(ROCK), extra_mm=12.7),
        replace(piece("rock", ROCK, 1), fabric="grey", colour="#7d7f80", template="Rock",
                template_version="3", remark="80 % of its template"),
    ),
    (Pause(1, ("rock",), (), "Mind the cat."), Pause(2, ("1",)), Pause(3, (), ("1",))),
)  # fmt: skip


def texts(items: tuple[Item, ...]) -> list[str]:
    found: list[str] = []
    for item in items:
        if isinstance(item, Group):
            found += texts(item.items)
        elif isinstance(item, Text):
            found.append(item.text)
    return found


def everything(printout: Printout) -> list[str]:
    return [text for page in printout.pages for text in texts(page.items)]


def test_a_card_has_a_front_a_table_and_laying_pages() -> None:
    printout, missing = card_printout(CARD, A4)
    assert missing == NoRoom()
    assert printout.title == "Harbour, block card"
    assert [page.name for page in printout.pages] == [
        "Harbour, card",
        "Harbour, pieces by fabric",
        "Harbour, laying page: row 1, column 1 (A1)",
    ]
    told = everything(printout)
    assert "Harbour" in told
    assert any("finished 80 × 80 mm (3 1/8 × 3 1/8 in)" in text for text in told)
    assert "Mind the cat. Lay rock (grey)." in told
    assert "Trim 1." in told
    assert any("follow the instructions" in text for text in told)


def test_the_table_tells_all_of_a_piece_in_laying_order() -> None:
    printout, _ = card_printout(CARD, A4)
    told = texts(printout.pages[1].items)
    assert told.index("rock") < told.index("1")
    for words in ("35", "×"):
        assert any(words in text for text in told)
    assert "20 × 35" in told and "13/16 × 1 3/8" in told
    assert "cut first, +12.7" in told
    assert "Rock, version 3, 80 % of its" in told
    assert "Background: sky" in told
    assert "Together 2 pieces of 2 fabrics." in told


def test_a_long_table_goes_on_with_its_head() -> None:
    many = tuple(piece(f"p{k}", SEA, k + 1) for k in range(100))
    printout, _ = card_printout(replace(CARD, stack=many, pauses=()), A4)
    tables = [page for page in printout.pages if "by fabric" in page.name]
    assert len(tables) == 3
    labels = [t for page in tables for t in texts(page.items) if t in {p.label for p in many}]
    assert labels == [p.label for p in many]
    assert "Harbour: pieces by fabric, continued" in texts(tables[1].items)
    assert all("template, remarks" in texts(page.items) for page in tables)
    lowest = max(i.place_mm[1] for page in tables for i in page.items if isinstance(i, Text))
    assert lowest < 297 - 10


def test_a_long_laying_order_goes_on_on_another_page() -> None:
    pauses = tuple(Pause(k + 1, ("1",)) for k in range(400))
    printout, _ = card_printout(replace(CARD, pauses=pauses), A4)
    told = everything(printout)
    assert "Laying order, continued" in told
    assert {str(k + 1) for k in range(400)} <= set(told)


def test_a_pause_at_which_much_is_laid_runs_over_no_page() -> None:
    labels = tuple(f"p{k}" for k in range(900))
    card = replace(
        CARD, stack=tuple(piece(x, SEA, 1) for x in labels[:3]), pauses=(Pause(1, labels),)
    )
    words = Pause(1, (), (), " ".join(labels))
    printout, _ = card_printout(replace(card, pauses=(words,)), A4)
    told = everything(printout)
    assert labels[-1] in " ".join(told).split()
    for page in printout.pages:
        assert all(i.place_mm[1] < 288 for i in page.items if isinstance(i, Text))


def test_the_laying_page_is_true_and_shows_what_is_covered() -> None:
    """The sea's upper side is 80 mm long, of which the rock covers 20."""
    drawing, missing = laying_drawing(CARD)
    assert missing == ()
    assert drawing.box_mm == pytest.approx((3.65, 3.65, 96.35, 96.35))
    strokes = [item for item in drawing.items if isinstance(item, Path) and item.stroke_mm == 0.35]
    full = [flatten(curve) for item in strokes for curve in item.curves]
    rock = next(points for points in full if points[:, 1].min() == 40.0)
    assert rock.max(axis=0).tolist() == [60.0, 75.0]
    dashed = [
        item for item in drawing.items if isinstance(item, Path) and item.dash_mm == (1.2, 1.0)
    ]
    covered = flatten(dashed[0].curves[0])
    assert covered[:, 1].tolist() == pytest.approx([60.0, 60.0])
    assert abs(covered[1, 0] - covered[0, 0]) == pytest.approx(20.0, abs=0.25)
    assert {"1", "P2", "rock", "P1"} <= set(texts(drawing.items))


def test_a_block_without_frame_name_or_pauses() -> None:
    bare = replace(CARD, name="", frame=None, background="", pauses=())
    printout, _ = card_printout(bare, A4)
    told = everything(printout)
    assert "Block" in told and "Background: not named" in told
    assert "Laying order" not in told
    assert bare.box_mm == (5.0, 35.0, 95.0, 95.0)
    empty, _ = card_printout(replace(bare, stack=()), A4)
    assert "Together 0 pieces of 0 fabrics." in everything(empty)


def test_pieces_of_one_fabric_are_laid_in_one_sentence() -> None:
    pieces = {
        "1": piece("1", SEA, 1),
        "2": piece("2", SEA, 1),
        "3": replace(piece("3", SEA, 1), method="turned"),
        "4": replace(piece("4", SEA, 1), method="cut-in-hoop"),
    }
    said = pause_words(Pause(1, ("1", "2", "3", "4"), ("9",)), pieces)
    assert said == ("Trim 9. Lay 1, 2 (sea blue); 3 (sea blue, turned); a patch over 4 (sea blue).")


@pytest.mark.parametrize(
    ("length", "said"), [(6.35, "1/4"), (25.4, "1"), (82.55, "3 1/4"), (0.2, "0"), (254, "10")]
)
def test_inches_are_those_of_a_ruler(length: float, said: str) -> None:
    assert inches(length) == said
    assert length_words(length).endswith(f"({said} in)")


def test_numbers_without_room_in_the_picture_are_on_the_laying_pages() -> None:
    """Of 36 pieces in a block of 3 m the picture can show no number; the laying pages do."""
    small = tuple(
        piece(f"long-name-{k}", rectangle(1500 + 30 * (k % 6), 1500 + 30 * (k // 6), 12, 12), 1)
        for k in range(36)
    )
    wide = replace(CARD, frame=Frame(10.0, 10.0, 3000.0, 3000.0, 6.35), stack=small)
    printout, no_room = card_printout(wide, A4)
    count = len(no_room.picture)
    assert count > 5
    assert no_room.laying == ()
    assert any(
        f"{count} pieces have no number here; they stand on" in text
        for text in texts(printout.pages[0].items)
    )
    laying = [page for page in printout.pages if "laying page" in page.name]
    assert len(laying) <= 9
    assert any("pages without pieces left out" in text for text in texts(laying[0].items))
    assert not any("left out" in text for page in laying[1:] for text in texts(page.items))


def test_pauses_give_way_to_labels_on_a_crowded_laying_page() -> None:
    crowd = tuple(
        piece(f"a-long-name-{k}", rectangle(12 + 4.4 * (k % 10), 12 + 4.4 * (k // 10), 4, 4), k + 1)
        for k in range(10 * 9)
    )
    drawing, missing = laying_drawing(
        replace(CARD, frame=Frame(10.0, 10.0, 50.0, 50.0, 6.35), stack=crowd)
    )
    assert missing
    assert "P3 is" not in drawing.told
    assert not any(text.startswith("P") for text in texts(drawing.items))
