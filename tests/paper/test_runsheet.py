"""The run sheet as a PDF, read back by an independent reader (pdfplumber)."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache

import pdfplumber
import pytest

from applique.paper.drawing import Text
from applique.paper.flow import FlowBlock, Section, flowed
from applique.paper.pdf import pdf_bytes
from applique.paper.run_content import RunSheet, Task
from applique.paper.run_stops import WORDS_MM
from applique.paper.run_words import minutes, thousands
from applique.paper.runsheet import run_sheet_printout
from applique.paper.sizes import MARGIN_MM, sheet_mm
from tests.runsheets import cases

MM_PER_POINT = 25.4 / 72


@cache
def pages(sheet: RunSheet, paper: str) -> tuple[tuple[str, list[dict]], ...]:
    """The text of each page and its letters."""
    data = pdf_bytes(run_sheet_printout(sheet, sheet_mm(paper)))
    with pdfplumber.open(io.BytesIO(data)) as document:
        return tuple((page.extract_text(), page.chars) for page in document.pages)


def told(sheet: RunSheet, paper: str) -> str:
    """Everything on the pages, without line breaks."""
    return " ".join(" ".join(text for text, _ in pages(sheet, paper)).split())


def beginning(words: str) -> str:
    """So much of some words as stands on the first line of any column."""
    return " ".join(words.split()[:3])


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("sheet", [cases.block_sheet, cases.hooping_sheet])
def test_every_stop_is_there_in_order(sheet, paper: str) -> None:
    text = told(sheet(), paper)
    at = 0
    for sitting in sheet().sittings:
        at = text.index(f"{sitting.title}: {sitting.file_name}", at)
        for task in sitting.begin:
            at = text.index(task.words, at)
        for stop in sitting.stops:
            at = text.index(f"{stop.number} {beginning(stop.sewn)}", at)
            at = text.index(stop.thread.name, at)
            at = text.index(f"{thousands(stop.stitches)} {minutes(stop.machine_minutes)}", at)
            for task in stop.tasks:
                at = text.index(task.words, at)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_nothing_is_cut_off(paper: str) -> None:
    width, height = sheet_mm(paper)
    plain = cases.block_sheet()
    [sitting] = plain.sittings
    wordy = (Task("hoop", "Hoop the stabiliser, " + "as wide as the quilt is long, " * 9),)
    told = replace(plain, sittings=(replace(sitting, begin=wordy),))
    for sheet in (plain, cases.hooping_sheet(needles=4), told):
        for _, letters in pages(sheet, paper):
            for letter in letters:
                assert letter["x0"] * MM_PER_POINT >= MARGIN_MM - 0.1
                assert letter["x1"] * MM_PER_POINT <= width - MARGIN_MM + 0.1
                assert letter["bottom"] * MM_PER_POINT <= height - MARGIN_MM / 2 + 1.0


def test_where_stops_go_on_their_headings_stand_again() -> None:
    for text, _ in pages(cases.block_sheet(), "a4")[2:4]:
        lines = text.splitlines()
        assert lines[0] == "All in one hooping: lighthouse.dst, continued"
        assert lines[1].split()[:3] == ["no.", "sewn", "thread"]


def test_her_own_words_and_the_cautions_are_on_the_first_page() -> None:
    text = " ".join(pages(cases.block_sheet(), "a4")[0][0].split())
    for words in ("Needle: 75/11 sharp", "Stabiliser: one layer of tear-away", "Starch the sky."):
        assert words in text
    for words in ("machine's own safety instructions", "rules where you live", "over pins",
                  "away from your fingers", "never on the hoop"):  # fmt: skip
        assert words in text


def test_needles_have_their_tables() -> None:
    text = told(cases.block_sheet(needles=6), "a4")
    at = text.index("Needles at the start needle 1 pale yellow, to match beam yellow")
    at = text.index("Needles threaded anew after ", at)
    assert text.index("Set a stop on its screen after these colour blocks", at) > at
    assert "Change the thread" not in text


def test_sizes_are_cut_by_fabric() -> None:
    text = told(cases.block_sheet(), "a4")
    at = text.index("Fabric: cut sizes of the pieces")
    for cuts in cases.block_sheet().cuts:
        at = text.index(f"{cuts.fabric} {cuts.sizes[0].piece}", at)


def test_a_row_longer_than_a_page_goes_on_overleaf() -> None:
    sheet = cases.block_sheet()
    [sitting] = sheet.sittings
    endless = replace(sitting.stops[0], sewn=" ".join(f"piece{k}" for k in range(900)))
    long = replace(sheet, sittings=(replace(sitting, stops=(endless,)),))
    text = told(long, "a4")
    assert text.index("piece899") > text.index("piece500")


def test_a_narrow_paper_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a paper 210 mm wide"):
        run_sheet_printout(cases.block_sheet(), (148.0, 210.0))


def block(name: str, height: float, keeps_next: bool = False) -> FlowBlock:
    return FlowBlock((Text((10.0, 4.0), name, WORDS_MM),), height, keeps_next)


def test_what_belongs_together_stays_together() -> None:
    """On a page with room for 80 mm, the pair of 30 mm each begins a new one."""
    section = Section(
        lambda again: block("again" if again else "first", 10.0),
        (block("a", 40.0), block("b", 30.0, keeps_next=True), block("c", 30.0)),
    )
    found = [[item.text for item in page] for page in flowed([section], (100.0, 100.0), 10.0)]
    assert found == [["first", "a"], ["again", "b", "c"]]
