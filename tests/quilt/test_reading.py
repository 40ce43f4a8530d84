"""quilt.toml read: all it can say, what holds where it says nothing, and every fault told."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from applique.cutting.nested import rectangle
from applique.errors import InputError
from applique.export.formats import FORMATS
from applique.hoops.fields import Field, read_fields
from applique.hoops.frame import FrameSetting
from applique.hoops.request import HoopRequest
from applique.model import Fabric
from applique.quilt.project import (
    Assembly,
    BlockEntry,
    FabricStock,
    Handwork,
    Lining,
    Machine,
    Project,
    Strip,
    Swatch,
)
from applique.quilt.reading import read_project
from applique.resources import hoop_fields_text
from applique.threads.spool import Spool
from applique.threads.table import read_spools, usual_spools
from tests.quilt.quilt_texts import BAD, FULL, SMALL, THREADS, Bad

USUAL = read_fields(hoop_fields_text())
BLOCK = '[[block]]\nname = "Gull"\nfile = "gull.svg"\n'


def read(text: str) -> Project:
    return read_project(text, tuple(FORMATS), USUAL)


def wrong(text: str) -> list[str]:
    with pytest.raises(InputError) as refusal:
        read(text)
    return [finding.sentence() for finding in refusal.value.findings]


def test_the_smallest_quilt_has_a_usual_value_for_all_it_leaves_out() -> None:
    quilt = read(SMALL)
    assert (quilt.name, quilt.fabrics, quilt.spools, quilt.thread_file) == ("Two gulls", {}, (), "")
    assert quilt.machine == Machine("dst", "single", 1, 600.0)
    assert quilt.hooping is None
    assert (quilt.cutting.tool, quilt.cutting.gap_mm, quilt.cutting.face) == (
        "cutter",
        3.0,
        "wrong",
    )
    assert [sheet.name for sheet in quilt.cutting.sheets] == ["305x305"]
    assert (quilt.most_nesting_s, quilt.paper_mm) == (0.0, (210.0, 297.0))
    assert (quilt.handwork, quilt.assembly, quilt.defaults) == (Handwork(), Assembly(), {})
    (block,) = quilt.blocks
    assert block == BlockEntry("Gull", "gull.svg", False, copies=2, line=3, stem="gull")


def test_fabrics_as_they_are_bought() -> None:
    fabrics = read(FULL).fabrics
    assert fabrics == {
        "lime wash": FabricStock(Fabric("lime wash", "#fbf7ee")),
        "sea blue": FabricStock(Fabric("sea blue", "#2f6f8f", "half", 0.0), 1070.0, 12.5),
        "wave print": FabricStock(
            Fabric("wave print", "#8fb0b8", "none"),
            # A width of 42 in.
            42 * 25.4,
            None,
            Swatch("swatches/waves.png", 100.0, 80.0),
        ),
    }


def test_threads_of_ones_own_come_before_the_usual_ones() -> None:
    quilt = read(FULL)
    assert quilt.thread_file == "my-threads.toml"
    assert quilt.spools == (Spool("grandmother's red", "#b2392f", "40", 200.0), *usual_spools())


def test_of_two_threads_with_one_name_ones_own_is_taken() -> None:
    text = '[threads]\nusual = true\n[[threads.spool]]\nname = "navy"\ncolour = "#000080"\n'
    spools = read('name = "Q"\n' + BLOCK + text).spools
    assert [spool.colour for spool in spools if spool.name == "navy"] == ["#000080"]


def test_the_table_of_threads_in_the_documents_can_be_read() -> None:
    assert read_spools(THREADS) == (Spool("harbour blue", "#2f6f8f"),)


def test_what_is_sewn_and_hooped_with() -> None:
    quilt = read(FULL.replace('needles = "single" ', "needles = 6"))
    assert quilt.machine == Machine("dst", "many", 6, 600.0)
    assert quilt.hooping == HoopRequest(
        (Field(160.0, 260.0), Field(200.0, 300.0)),
        turn=True,
        margin_mm=1.0,
        frame=FrameSetting(25.0, 25.4),
    )


def test_a_single_needle_may_be_told_as_a_number() -> None:
    assert read(FULL.replace('needles = "single" ', "needles = 1")).machine == Machine()


def test_scissors_leave_more_room_unless_told() -> None:
    scissors = FULL.replace('tool = "cutter"', 'tool = "scissors"')
    assert read(scissors).cutting.gap_mm == 3.0
    # Half an inch, as fusible layouts ask for (docs/sources.md).
    assert read(scissors.replace("gap = 3\n", "")).cutting.gap_mm == 12.7


def test_sheets_and_how_many_there_are() -> None:
    sheets = read(FULL).cutting.sheets
    expected = [rectangle("305x305", 305.0, 305.0), rectangle("305x610", 305.0, 610.0, 2)]
    assert [(s.name, s.size_mm, s.count) for s in sheets] == [
        (s.name, s.size_mm, s.count) for s in expected
    ]


def test_how_blocks_make_a_quilt() -> None:
    assert read(FULL).assembly == Assembly(
        rows=(("Lighthouse", "Gull"), ("Gull", "")),
        sashing=Strip(25.4, "lime wash"),
        cornerstone="sea blue",
        borders=(Strip(50.8, "wave print"),),
        binding=Strip(63.5, "sea blue"),
        backing=Lining(1070.0, 101.6, "sheeting"),
        batting=Lining(2300.0, 101.6, "cotton"),
        stabiliser_mm=508.0,
        seam_allowance_mm=6.35,
    )


def test_blocks_with_their_lines_and_as_often_as_the_rows_place_them() -> None:
    lighthouse, gull = read(FULL).blocks
    assert lighthouse.settings == {"edge": "blanket", "edge-spacing": 2.5}
    assert (lighthouse.finished_mm, lighthouse.seam_allowance_mm) == ((254.0, 254.0), 6.35)
    assert (gull.file, gull.is_layout, gull.copies, gull.week) == ("layouts/gull.toml", True, 2, 2)
    text = FULL.splitlines()
    assert [text[block.line - 1] for block in (lighthouse, gull)] == ["[[block]]", "[[block]]"]


@pytest.mark.parametrize(
    ("name", "stem"),
    [("Île d'Or / east", "ile-d-or-east"), ("../../etc", "etc"), ("灯台", "block-2"), ("7", "7")],
)
def test_any_name_gives_files_a_plain_one(name: str, stem: str) -> None:
    text = f'name = "Q"\n{BLOCK}[[block]]\nname = "{name}"\nfile = "a.svg"\n'
    block = read(text).block(name)
    assert block is not None
    assert block.stem == stem


def test_two_blocks_of_one_name_without_plain_letters_are_one_name_too_many() -> None:
    block = '[[block]]\nname = "灯台"\nfile = "a.svg"\n'
    assert wrong(f'name = "Q"\n{block}{block}') == [
        "灯台 (line 6): the block of line 2 has this name too; give one of them another"
    ]


@pytest.mark.parametrize("bad", BAD.values(), ids=BAD.keys())
def test_a_fault_is_told_with_its_line(bad: Bad) -> None:
    told = wrong(bad.text)
    start = f"{bad.object} (line {bad.line}): "
    assert any(one.startswith(start) and bad.words in one for one in told), told


def test_every_fault_is_told_at_once_and_once() -> None:
    text = FULL
    for name in ("a tool", "a paper", "a block that climbs out", "a week that is a word"):
        text = text.replace(BAD[name].old, BAD[name].new, 1)
    told = wrong(text)
    assert len(told) == len(set(told)) == 4


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "quilt.toml: has no name"),
        ('name = "Q"\n', "quilt.toml: names no blocks; add a [[block]], in double brackets"),
        ('name = "Q"\nblock = []\n', "names no blocks"),
        ('name = "Q"\n[block]\nname = "A"\n', "block must be tables; write [[block]]"),
        ('name = "Q"\nquilt = 3\n' + BLOCK, "quilt.toml (line 2): quilt must be a table"),
        ('name = "Q"\nfabrics = 3\n' + BLOCK, "quilt.toml (line 2): fabrics must be a table"),
        ('name = "Q"\n' + BLOCK + '[fabrics]\n" " = "#fff"', "' ' is no name for a fabric"),
        ('name = "a\\u0007"\n' + BLOCK, "name holds a character that can't be written"),
    ],
)
def test_a_quilt_without_the_needful_says_so(text: str, sentence: str) -> None:
    assert any(sentence in one for one in wrong(text))


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ('name = "Q"\nblock = = 3', r"quilt.toml can't be read: .*line 2"),
        ('name = "Q"\nname = "R"\n', r"can't be read: .*line 2"),
        ("a = " + "[" * 5000, "can't be read"),
        ("a = " + "9" * 5000, "a number in it is far too long"),
    ],
)
def test_text_that_is_no_toml_is_refused_with_its_line(text: str, where: str) -> None:
    with pytest.raises(InputError, match=where):
        read(text)


ODD = ["3", "-1", "true", '""', '"x"', "[]", "[1]", '["x", 2]', "[[]]", "{}", "{ x = 1 }", "nan"]
ODD += ["inf", "1979-05-27", "1e300", '"1e999mm"', '"9x9x9"', '"\\u2028"', '[{ name = "x" }]']
VALUES = [number for number, line in enumerate(FULL.splitlines()) if " = " in line]


@given(st.sampled_from(VALUES), st.sampled_from(ODD))
def test_whatever_stands_for_a_value_is_read_or_refused_in_words(number: int, odd: str) -> None:
    lines = FULL.splitlines()
    lines[number] = f"{lines[number].partition(' = ')[0]} = {odd}"
    try:
        read("\n".join(lines))
    except InputError as refusal:
        for finding in refusal.findings:
            assert "(line " in finding.object
