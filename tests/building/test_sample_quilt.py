"""The harbour quilt, built once: nine blocks with everything, twice the same, and pages for all."""

from __future__ import annotations

import json
import re
from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from lxml import etree

from applique.building.build import Built
from applique.building.front import facts_in
from applique.export.reading import read_machine
from applique.quilt.facts import BlockFacts
from applique.report import errors_in
from tests.browser import DESKTOP, PHONE, OpenPage
from tests.building import quilts
from tests.building.test_quilt import leads_to
from tests.conftest import SAMPLES

PROJECT = SAMPLES / "harbour-quilt.toml"

AP = "{https://underlap.example/svg/1}"

NEEDLE_M = (3.0, 7.0)
BOBBIN_M = (2.0, 4.0)
"""Metres for each 1,000 stitches: bands round the published figures of 5 m and 3 m."""

PAGES = (
    "index.html",
    "shopping-list.html",
    "blocks/low-tide/low-tide-run-sheet.html",
    "blocks/whale/whale-stitch-out.html",
)


@dataclass(frozen=True)
class Sample:
    """The quilt as it was built."""

    out: Path
    built: Built

    @cached_property
    def facts(self) -> dict[str, BlockFacts]:
        found = {}
        for entry in self.built.plan.chosen:
            mine = [it for it in self.built.outcomes if it.task.group == entry.name]
            facts = facts_in(mine)
            assert facts is not None, entry.name
            found[entry.name] = facts
        return found


@pytest.fixture(scope="session")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Sample:
    """Built in two processes. Nobody may change it."""
    out = tmp_path_factory.mktemp("harbour") / "out"
    return Sample(out, quilts.build(PROJECT, out, jobs=2))


def test_nothing_failed_and_nothing_is_wrong(sample: Sample) -> None:
    assert [(it.task.name, it.message) for it in sample.built.failures] == []
    findings = [finding for it in sample.built.outcomes for finding in it.findings]
    assert [it.sentence() for it in errors_in([*findings, *sample.built.findings])] == []
    assert sample.built.is_whole
    assert set(quilts.hows(sample.built).values()) == {"built"}


def test_nine_blocks_are_there_and_each_comes_to_something(sample: Sample) -> None:
    assert len(sample.facts) == 9
    assert len(list((sample.out / "blocks").iterdir())) == 9
    for facts in sample.facts.values():
        assert facts.finished_mm == (254.0, 254.0)
        assert facts.stitches > 5_000
        assert facts.stops > 5
        assert facts.pieces > 5


def test_a_second_time_nothing_is_done(sample: Sample) -> None:
    before = quilts.contents(sample.out)
    again = quilts.build(PROJECT, sample.out)
    assert set(quilts.hows(again).values()) == {"kept"}
    assert again.is_whole
    assert quilts.contents(sample.out) == before


def test_every_hooping_has_a_file_that_reads_back(sample: Sample) -> None:
    for name, facts in sample.facts.items():
        stem = quilts.plain(name)
        files = sorted((sample.out / "blocks" / stem / "hoopings").glob("*.dst"))
        assert [file.name for file in files] == [
            f"{stem}-hooping-{number + 1}.dst" for number in range(len(facts.hoopings))
        ]
        plans = [read_machine(file.read_bytes(), "dst").plan for file in files]
        runs = [run for plan in plans for block in plan.blocks for run in block.runs]
        assert sum(len(run) for run in runs) == facts.stitches
        assert sum(len(plan.blocks) - 1 for plan in plans) == facts.stops


def test_every_piece_of_every_block_lies_on_a_sheet_once(sample: Sample) -> None:
    asked: Counter[str] = Counter()
    for file in sample.out.glob("blocks/*/*-layers.svg"):
        for path in etree.parse(str(file)).getroot().iter("{*}path"):
            if path.get(f"{AP}cut") is not None:
                is_template = path.get(f"{AP}cut") == "template"
                asked["card" if is_template else path.get(f"{AP}fabric")] += 1
    lying: Counter[str] = Counter()
    for record in sample.out.glob("cutting/*/nesting.json"):
        for fabric, nested in json.loads(record.read_text(encoding="utf-8"))["sheets"].items():
            placed = sorted(piece for sheet in nested["sheets"] for piece, *_ in sheet["places"])
            assert placed == list(range(len(nested["names"]))), fabric
            lying[fabric] += len(placed)
    assert lying == asked
    assert asked.total() > 150


def test_thread_lies_about_the_published_figures(sample: Sample) -> None:
    """Five metres from the spool and three from the bobbin for 1,000 stitches of machine
    embroidery, as commonly published; applique is satin and running stitches mixed."""
    for name, facts in sample.facts.items():
        thousands = facts.stitches / 1000
        needle = sum(thread.needle_m for thread in facts.threads) / thousands
        bobbin = sum(thread.bobbin_m for thread in facts.threads) / thousands
        assert NEEDLE_M[0] <= needle <= NEEDLE_M[1], (name, needle)
        assert BOBBIN_M[0] <= bobbin <= BOBBIN_M[1], (name, bobbin)


def test_every_link_of_every_page_leads_to_a_file(sample: Sample) -> None:
    pages = sorted(sample.out.rglob("*.html"))
    assert len(pages) == 2 + 2 * 9
    for page in pages:
        assert [link for link in leads_to(page) if not link.is_file()] == [], page.name


def test_the_index_shows_every_block_and_the_shopping_list_every_fabric(sample: Sample) -> None:
    index = (sample.out / "index.html").read_text(encoding="utf-8")
    for name in sample.facts:
        assert f"{quilts.plain(name)}-picture.png" in index
    listed = (sample.out / "shopping-list.txt").read_text(encoding="utf-8")
    for fabric in quilts.read(PROJECT).fabrics:
        assert re.search(rf"^\[ \] {re.escape(fabric)}: ", listed, re.M), fabric


@pytest.mark.parametrize("size", [DESKTOP, PHONE], ids=["desktop", "phone"])
@pytest.mark.parametrize("name", PAGES)
def test_the_pages_can_be_used_by_all(
    name: str, size: dict[str, int], sample: Sample, open_page: OpenPage
) -> None:
    page = open_page((sample.out / name).read_bytes().replace(*_beside(sample.out / name)), size)
    found = Axe().run(page).response["violations"]
    assert [(it["id"], [node["html"] for node in it["nodes"]]) for it in found] == []
    wide = page.evaluate("() => document.documentElement.scrollWidth")
    assert wide <= size["width"]


def _beside(page: Path) -> tuple[bytes, bytes]:
    """Where a page is opened from its pictures are looked for where they lie."""
    return b"<head>", f'<head><base href="{page.parent.as_uri()}/">'.encode()
