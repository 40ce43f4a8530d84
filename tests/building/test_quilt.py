"""A whole quilt built: everything is there, a second time nothing is done, and always the same."""

from __future__ import annotations

import re
import time
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

from tests.building import quilts
from tests.building.conftest import Quilt

OF_A_BLOCK = (
    "{0}/{1}-layers.svg",
    "{0}/{1}-proof.json",
    "{0}/{1}-proof.png",
    "{0}/{1}-picture.png",
    "{0}/{1}-card.pdf",
    "{0}/{1}-run-sheet.html",
    "{0}/{1}-run-sheet.pdf",
    "{0}/{1}-stitch-out.html",
    "{0}/hoopings/{1}.dst",
)
OF_A_FABRIC = (
    "cutting/{0}/{0}-1.svg",
    "cutting/{0}/{0}-1.dxf",
    "cutting/{0}/maps.pdf",
    "cutting/{0}/nesting.json",
    "cutting/{0}/pictures/{0}-1.png",
)
OF_THE_QUILT = ("index.html", "shopping-list.html", "shopping-list.txt", "swatches/sea-blue.png")
BLOCKS = ("house", "boat", "tree")
FABRICS = ("sky", "brick-red", "sea-blue", "leaf")

MOST_SECONDS_UNCHANGED = 1.0
"""The goal for a second run with nothing changed."""


class _Links(HTMLParser):
    """Everything that a page leads to or shows."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found += [value for name, value in attrs if name in ("href", "src") and value]


def leads_to(page: Path) -> list[Path]:
    """The files that a page leads to; those within it, and data of its own, are none."""
    links = [urlsplit(link) for link in _Links(page.read_text(encoding="utf-8")).found]
    assert {link.scheme for link in links} <= {"", "data"}, f"{page} leads to a network"
    return [page.parent / unquote(link.path) for link in links if link.path and not link.scheme]


def test_everything_is_there_and_nothing_else(once: Quilt) -> None:
    expected = set(OF_THE_QUILT)
    expected |= {name.format(f"blocks/{stem}", stem) for stem in BLOCKS for name in OF_A_BLOCK}
    expected |= {name.format(stem) for stem in (*FABRICS, "card") for name in OF_A_FABRIC}
    expected |= {f"cutting/{stem}/fabric-needed.txt" for stem in FABRICS}
    assert {name for name in once.contents() if not name.startswith(".underlap/")} == expected


def test_the_index_leads_to_every_paper_of_every_block_and_fabric(once: Quilt) -> None:
    """What a fabric takes stands on the page itself."""
    led = {
        path.resolve().relative_to(once.out.resolve()).as_posix()
        for path in leads_to(once.out / "index.html")
    }
    kept_for_programs = {name for name in once.contents() if name.endswith(".json")}
    pictures = {name for name in once.contents() if "/pictures/" in name}
    needed = {name for name in once.contents() if name.endswith("/fabric-needed.txt")}
    there = {name for name in once.contents() if not name.startswith(".underlap/")}
    assert there - led - kept_for_programs - pictures - needed == {"index.html"}


def test_every_link_of_every_page_leads_to_a_file(once: Quilt) -> None:
    pages = sorted(once.out.rglob("*.html"))
    assert len(pages) == 2 + 2 * len(BLOCKS)
    for page in pages:
        assert [link for link in leads_to(page) if not link.is_file()] == [], page.name


def test_no_page_tells_where_it_was_made(once: Quilt) -> None:
    """The folder can be moved, copied and given away."""
    here = str(once.folder.parent).encode()
    assert [name for name, data in once.contents().items() if here in data] == []


def test_no_page_tells_where_a_block_was_looked_for(quilt: Quilt) -> None:
    (quilt.folder / "house.svg").unlink()
    quilt.build()
    page = (quilt.out / "index.html").read_text(encoding="utf-8")
    assert "house.svg: can" in page
    assert str(quilt.folder) not in page


def test_a_second_time_nothing_is_done(quilt: Quilt) -> None:
    before = quilt.contents()
    built = quilt.build()
    assert set(quilts.hows(built).values()) == {"kept"}
    assert built.is_whole
    assert quilt.contents() == before


def test_a_second_time_takes_less_than_a_second(quilt: Quilt) -> None:
    taken = []
    for _ in range(3):
        begun = time.perf_counter()
        done = quilts.run(quilt.path, quilt.out)
        taken.append(time.perf_counter() - begun)
        assert (done.returncode, done.stderr) == (0, "")
        assert "; 0 built, " in done.stdout
    assert min(taken) < MOST_SECONDS_UNCHANGED


def test_it_comes_out_the_same_in_two_processes_and_with_other_hashes(
    once: Quilt, tmp_path: Path
) -> None:
    done = quilts.run(once.path, tmp_path / "out", "--jobs", "2", PYTHONHASHSEED="4711")
    assert (done.returncode, done.stderr) == (0, "")
    assert quilts.contents(tmp_path / "out") == once.contents()


def test_it_comes_out_the_same_from_another_folder(once: Quilt, unbuilt: Quilt) -> None:
    assert unbuilt.build().is_whole
    assert unbuilt.contents() == once.contents()


def test_copies_count_in_cut_sheets_and_totals(once: Quilt) -> None:
    """The boat is made twice: two sails and two hulls are cut, and five pieces of brick red: a
    roof, and two hulls in two blocks."""
    needed = {
        stem: (once.out / f"cutting/{stem}/fabric-needed.txt").read_text(encoding="utf-8")
        for stem in FABRICS
    }
    counted = {stem: int(re.search(r"(\d+) pieces?", text)[1]) for stem, text in needed.items()}
    assert counted == {"sky": 1, "brick-red": 3, "sea-blue": 2, "leaf": 2}


def test_a_fabric_of_a_width_of_its_own_is_bought_in_that_width(quilt: Quilt) -> None:
    quilts.edit(quilt.path, '"leaf" = "#5d7a45"', '"leaf" = { colour = "#5d7a45", width = 250 }')
    assert quilt.build().is_whole
    needed = (quilt.out / "cutting/leaf/fabric-needed.txt").read_text(encoding="utf-8")
    assert "9.8 in" in needed
