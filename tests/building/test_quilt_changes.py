"""Only what a change concerns is built again, and what is not ours stays where it is."""

from __future__ import annotations

import json

import pytest

from tests.building import quilts
from tests.building.conftest import Quilt

HOUSE = {f"blocks/house/{what}" for what in ("layers", "hoopings", "proof")}
SMALLER_ROOF = "M24 52 L50 28 L76 52 Z"
SMALLER_SAIL = "M50 22 L74 58 H50 Z"


def placements(quilt: Quilt, fabric: str) -> dict[str, list[object]]:
    """How each piece of a fabric lies: its sheet, how it is turned and moved."""
    told = json.loads((quilt.out / f"cutting/{fabric}/nesting.json").read_text(encoding="utf-8"))
    [nested] = told["sheets"].values()
    return {
        nested["names"][piece]: [number, *how]
        for number, sheet in enumerate(nested["sheets"])
        for piece, *how in sheet["places"]
    }


def test_one_piece_changed_builds_its_block_and_the_sheets_of_its_fabric(quilt: Quilt) -> None:
    quilts.edit(quilt.folder / "house.svg", quilts.ROOF, SMALLER_ROOF)
    built = quilt.build()
    # The roof lies over the wall, of which what is hidden is cut away; it is of another fabric.
    again = HOUSE | {"cutting/brick-red", "cutting/card", "cutting/sky", "front"}
    assert quilts.those(built, "built") == again
    assert quilts.those(built, "failed") == set()


def test_one_that_lies_on_no_other_leaves_the_sheets_of_other_fabrics(quilt: Quilt) -> None:
    """The waterline of the hull, far from the sail."""
    quilts.edit(quilt.folder / "drawings/boat.svg", "L70 80", "L69 80")
    cut = {name for name in quilts.those(quilt.build(), "built") if name.startswith("cutting")}
    assert cut == {"cutting/brick-red"}


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("price = 12.0", "price = 13.0"),
        ('name = "Three small blocks"', 'name = "Three blocks"'),
        ("binding = { width = 63.5", "binding = { width = 57"),
    ],
)
def test_what_only_the_front_shows_builds_only_the_front(old: str, new: str, quilt: Quilt) -> None:
    quilts.edit(quilt.path, old, new)
    assert quilts.those(quilt.build(), "built") == {"front"}


def test_a_comment_in_the_project_builds_nothing_but_the_front(quilt: Quilt) -> None:
    quilts.edit(quilt.path, "[fabrics]", "# My fabrics.\n[fabrics]")
    assert quilts.those(quilt.build(), "built") <= {"front"}


@pytest.mark.parametrize(("old", "new"), [("copies = 2", "copies = 3"), ("week = 1", "week = 4")])
def test_copies_and_weeks_make_no_block_anew(old: str, new: str, quilt: Quilt) -> None:
    quilts.edit(quilt.path, old, new)
    built = quilts.those(quilt.build(), "built")
    assert "front" in built
    assert [name for name in built if name.startswith("blocks/")] == []


def test_the_colour_of_one_fabric_is_looked_for_but_leaves_blocks_without_it(quilt: Quilt) -> None:
    quilts.edit(quilt.path, '"leaf" = "#5d7a45"', '"leaf" = "#4f7d55"')
    built = quilts.those(quilt.build(), "built")
    assert "blocks/tree/layers" in built
    assert {name for name in built if "blocks/house/" in name} <= {"blocks/house/layers"}


def test_another_version_of_the_program_builds_everything(
    quilt: Quilt, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = quilt.contents()
    for module in ("running", "shelf"):
        monkeypatch.setattr(f"applique.building.{module}.digest_of_program", lambda: "another")
    assert set(quilts.hows(quilt.build()).values()) == {"built"}
    outside = {name for name in before if not name.startswith(".underlap/")}
    assert {name: quilt.contents()[name] for name in outside} == {n: before[n] for n in outside}


@pytest.mark.parametrize(
    ("asked", "part", "fabrics"),
    [
        ({"week": 1}, "week-1", {"sky", "card", "brick-red", "sea-blue"}),
        ({"blocks": ["Boat"]}, "blocks-boat", {"brick-red", "sea-blue"}),
        ({"blocks": ["Boat", "Tree"]}, "blocks-boat-tree", {"brick-red", "sea-blue", "leaf"}),
    ],
)
def test_a_part_of_the_quilt_is_built_alone(
    asked: dict, part: str, fabrics: set[str], quilt: Quilt
) -> None:
    before = quilt.contents()
    quilts.edit(quilt.folder / "layouts/tree.toml", "x = 50", "x = 52")
    quilts.edit(quilt.folder / "house.svg", quilts.WALL, "M30 50 H70 V84 H30 Z")
    built = quilt.build(**asked)
    assert built.is_whole
    blocks = {outcome.task.group for outcome in built.outcomes} - {""}
    assert blocks == set(asked.get("blocks", ["House", "Boat"]))
    new = {name for name in quilt.contents() if name not in before}
    sheets = {name.split("/")[1] for name in new if name.startswith(f"cutting-{part}/")}
    assert sheets == fabrics
    assert {name.split("/")[0] for name in new} == {f"cutting-{part}", ".underlap"}
    for name, data in before.items():
        of_others = name.startswith("cutting/") or not any(
            f"/{block.lower()}" in name for block in blocks
        )
        if of_others and not name.startswith(("index", "shopping", ".underlap/tasks/front")):
            assert quilt.contents()[name] == data, name


def test_a_part_built_first_is_not_built_again_with_the_whole(unbuilt: Quilt, once: Quilt) -> None:
    assert unbuilt.build(week=2).is_whole
    built = unbuilt.build()
    kept = {f"blocks/tree/{what}" for what in ("layers", "hoopings", "proof")}
    assert quilts.those(built, "kept") == kept
    # The index leads to the sheets of the week as well.
    front = {"index.html", ".underlap/tasks/front.json"}
    ours, plain = unbuilt.contents(), once.contents()
    parts = {name for name in ours if "cutting-week-2/" not in name} - front
    assert {name: ours[name] for name in parts} == {n: plain[n] for n in set(plain) - front}
    assert "week 2" in (unbuilt.out / "index.html").read_text(encoding="utf-8")


def test_a_block_that_is_gone_takes_its_files_with_it_and_no_others(quilt: Quilt) -> None:
    quilts.put(quilt.out / "blocks/tree/notes.txt", "ironed on Sunday")
    quilts.put(quilt.out / "mine/index.html", "not yours")
    tree = quilts.BLOCKS[quilts.BLOCKS.index('[[block]]\nname = "Tree"') :]
    quilts.edit(quilt.path, tree, "")
    quilts.edit(quilt.path, '["Boat", "Tree"]', '["Boat", ""]')
    assert quilt.build().is_whole
    left = {name for name in quilt.contents() if "tree" in name or "leaf" in name}
    assert left == {"blocks/tree/notes.txt"}
    assert (quilt.out / "mine/index.html").read_text() == "not yours"


def test_a_block_that_can_not_be_built_for_now_keeps_its_files(quilt: Quilt) -> None:
    drawing = (quilt.folder / "house.svg").read_bytes()
    (quilt.folder / "house.svg").unlink()
    before = quilt.contents()
    built = quilt.build()
    assert not built.is_whole
    assert set(built.plan.broken) == {"House"}
    after = quilt.contents()
    of_house = {name: data for name, data in before.items() if "blocks/house/" in name}
    assert {name: after.get(name) for name in of_house} == of_house
    (quilt.folder / "house.svg").write_bytes(drawing)
    assert quilt.build().is_whole


@pytest.mark.parametrize(
    ("file", "old", "new", "fabric"),
    [
        ("house.svg", quilts.ROOF, SMALLER_ROOF, "brick-red"),
        ("drawings/boat.svg", quilts.SAIL, SMALLER_SAIL, "sea-blue"),
    ],
)
def test_pieces_that_shrink_a_little_stay_where_they_lie(
    file: str, old: str, new: str, fabric: str, quilt: Quilt
) -> None:
    before = placements(quilt, fabric)
    assert len(before) == {"brick-red": 3, "sea-blue": 2}[fabric]
    quilts.edit(quilt.folder / file, old, new)
    assert f"cutting/{fabric}" in quilts.those(quilt.build(), "built")
    assert placements(quilt, fabric) == before


def test_a_piece_that_outgrows_its_place_is_laid_anew(quilt: Quilt) -> None:
    """And what lies there is held against what is cut: no two pieces overlap."""
    quilts.edit(quilt.folder / "house.svg", quilts.ROOF, "M2 52 L50 2 L98 52 Z")
    built = quilt.build()
    assert built.is_whole
    assert "cutting/brick-red" in quilts.those(built, "built")
