"""What a whole quilt comes to, worked through by hand."""

import math
from dataclasses import replace

import pytest

from applique.cutting.needed import FabricNeeded
from applique.model import Fabric
from applique.quilt.project import Assembly, FabricStock, Lining, Strip
from applique.quilt.shopping import UNCHOSEN, shopping_groups, shopping_text
from applique.quilt.totals import BOBBIN_M, WASTE_SHARE, FabricTotal, QuiltTotals, totals_of
from applique.threads.spool import Spool
from tests.quilt.made import INCH, RED, entry, facts, project

SKY = FabricStock(Fabric("noon sky", "#bcd9e8"))
NIGHT = FabricStock(Fabric("night", "#1b2a41"), usable_width_mm=42 * INCH, price_a_metre=12.5)

NINE = Assembly(
    rows=(("Gull",) * 3,) * 3,
    sashing=Strip(1 * INCH, "night"),
    cornerstone="sun",
    borders=(Strip(3 * INCH, "night"),),
    binding=Strip(2.5 * INCH, "night"),
    backing=Lining(42 * INCH, 4 * INCH, "sea dots"),
    batting=Lining(90 * INCH, 4 * INCH),
    stabiliser_mm=500.0,
)
"""Nine blocks of 10 in, sashes of 1 in: 32 in; with borders of 3 in 38 in."""


def nine() -> QuiltTotals:
    nested = [FabricNeeded("night", 90, 1.0e6, 42 * INCH, 700.0)]
    plan = project(entry("Gull", copies=9), assembly=NINE, stocks=(SKY, NIGHT))
    return totals_of(plan, {"Gull": facts()}, nested)


def fabric(totals: QuiltTotals, name: str) -> FabricTotal:
    return next(it for it in totals.fabrics if it.fabric == name)


def inches(totals: QuiltTotals, name: str) -> dict[str, float]:
    return {use.purpose: use.needed.length_mm / INCH for use in fabric(totals, name).uses}


def test_backgrounds_in_rows() -> None:
    """Nine of 11 1/2 in, three across 40 in: 3 rows."""
    assert inches(nine(), "noon sky") == {"background": pytest.approx(3 * 11.5)}


def test_the_strips_of_a_quilt_of_nine_blocks() -> None:
    """12 sashes of 10 1/2 in, four across 42 in, so 3 strips of 1 1/2 in. Border: 2 x 32 1/2 and
    2 x 38 1/2 in are 142 in; 4 strips joined straight give 4 x 42 - 3 x 1/2. Binding: 4 x 38 1/2
    + 10 = 164 in; 5 strips joined at 45 degrees give 5 x 42 - 4 x 2 1/2 = 200 in."""
    found = inches(nine(), "night")
    assert found.pop("pieces") == pytest.approx(700 / INCH)
    assert found == {
        "sashing": pytest.approx(3 * 1.5),
        "border 1": pytest.approx(4 * 3.5),
        "binding": pytest.approx(5 * 2.5),
    }


def test_cornerstones_lie_across_the_fabric() -> None:
    """Four of 1 1/2 in from one strip; a fabric that only the rows name has the usual width."""
    sun = fabric(nine(), "sun")
    assert sun.needed.length_mm == pytest.approx(1.5 * INCH)
    assert sun.needed.usable_width_mm == 40 * INCH


def test_a_fabric_is_bought_in_one_length_and_priced_by_tenths() -> None:
    night = fabric(nine(), "night")
    length = 700 + (4.5 + 14 + 12.5) * INCH
    assert night.needed.length_mm == pytest.approx(length)
    assert night.needed.metre_tenths == math.ceil(length / 100) == 15
    assert night.needed.yard_eighths == math.ceil(length / 114.3)
    assert night.cost == pytest.approx(1.5 * 12.5)
    assert nine().cost == night.cost


def test_what_lies_under_the_top() -> None:
    """38 1/2 in cut and 4 in more on each side: 46 1/2 in. Backing of 42 in: 2 panels of 46 1/2;
    batting of 90 in: one piece; nine sheets of 210 x 310 mm, two across 500 mm: 5 rows of 310, or
    nine turned of 210: 1550 mm."""
    backing, batting, stabiliser = nine().linings
    assert backing.needed.fabric == "sea dots"
    assert backing.needed.length_mm == pytest.approx(2 * 46.5 * INCH)
    assert batting.needed.length_mm == pytest.approx(46.5 * INCH)
    assert stabiliser.needed.length_mm == pytest.approx(5 * 310)


def test_work_is_summed_over_copies_and_by_week() -> None:
    blocks = (entry("Gull", copies=2, week=1), entry("Whale", week=2), entry("Buoy"))
    known = {"Gull": facts(), "Whale": facts("Whale", stitches=500), "Buoy": facts("Buoy")}
    totals = totals_of(project(*blocks), known, [])
    assert (totals.work.blocks, totals.work.stitches, totals.work.stops) == (4, 30_500, 100)
    assert totals.work.machine_minutes == pytest.approx(120)
    assert totals.work.hand_minutes == pytest.approx(180)
    weeks = {week: work.stitches for week, work in totals.weeks}
    assert weeks == {0: 10_000, 1: 20_000, 2: 500}


def test_thread_with_copies_and_waste() -> None:
    """10 copies of 50 m: 500 m, with 15 % 575 m: one spool of 1,000 m, or three of 200 m. Bobbins:
    300 m, with 15 % 345 m: six of 60 m."""
    assert (WASTE_SHARE, BOBBIN_M) == (0.15, 60.0)
    block = entry("Gull", copies=10)
    large = totals_of(project(block), {"Gull": facts()}, [])
    small_spool = Spool("brick red", "#b2392f", "60", 200.0)
    small = totals_of(project(block, spools=(small_spool,)), {"Gull": facts()}, [])
    assert [(it.needle_m, it.spools, it.weight) for it in large.threads] == [(500, 1, "40")]
    assert [(it.needle_m, it.spools, it.weight) for it in small.threads] == [(500, 3, "60")]
    assert large.bobbins == 6


def test_threads_are_summed_over_blocks_the_most_used_first() -> None:
    blue = replace(RED, name="sea blue", colour="#2f6f8f", needle_m=120.0)
    known = {"Gull": facts(), "Whale": facts("Whale", threads=(RED, blue))}
    totals = totals_of(project(entry("Gull"), entry("Whale")), known, [])
    found = [(it.name, it.needle_m) for it in totals.threads]
    assert found == [("sea blue", 120.0), ("brick red", 100.0)]


def test_a_block_without_facts_is_named_and_not_reckoned_with() -> None:
    totals = totals_of(project(entry("Gull"), entry("Whale")), {"Gull": facts()}, [])
    assert totals.missing == ("Whale",)
    assert totals.work.blocks == 1
    assert "are not built: Whale." in shopping_text(totals)


def test_rows_that_show_more_blocks_than_are_sewn_are_told_of() -> None:
    plan = project(entry("Gull", copies=2), assembly=Assembly((("Gull",) * 3,)))
    (finding,) = totals_of(plan, {"Gull": facts()}, []).findings
    assert finding.sentence() == (
        "Gull: the rows show it 3 times, but 2 are reckoned with; give it copies = 3"
    )


def test_long_sashes_are_joined_and_wide_backgrounds_cut_sideways() -> None:
    """Between 2 rows of 5 blocks of 10 in runs a sash of 50 1/2 in: 2 strips of 40 in."""
    assembly = Assembly((("Gull",) * 5,) * 2, sashing=Strip(1 * INCH, "sun"))
    wide = facts(background_mm=(1100.0, 300.0))
    totals = totals_of(project(entry("Gull", 10), assembly=assembly), {"Gull": wide}, [])
    (sashing,) = fabric(totals, "sun").uses
    assert "1 of 38.1 x 1384.3 mm (1.5 x 54.5 in) from 2 strips joined straight" in sashing.how
    (background,) = fabric(totals, "noon sky").uses
    assert "cut sideways" in background.how
    assert background.needed.length_mm == pytest.approx(4 * 1100)  # Three of 300 mm a row.


def test_the_shopping_list_reads_as_a_list() -> None:
    text = shopping_text(nine())
    assert text.startswith("Harbour quilt: shopping list\n\nFabric\n------\n[ ] noon sky: 1 yd or ")
    assert "[ ] night: 1 3/4 yd or 1.5 m, 1066.8 mm (42 in) wide, costs 18.75" in text
    assert "      binding: 5 strips 63.5 mm (2.5 in) wide, joined at 45 degrees, for 4.17 m" in text
    assert "[ ] brick red, 40 wt: 450 m (14 g), 1 spool\n" in text
    assert "[ ] bobbin thread: 270 m, 6 bobbins\n" in text


def test_what_no_fabric_is_chosen_for_is_bought_too() -> None:
    assembly = Assembly((("Gull", ""),), binding=Strip(2.5 * INCH))
    totals = totals_of(project(entry("Gull"), assembly=assembly), {"Gull": facts()}, [])
    assert [use.purpose for use in totals.fabrics[-1].uses] == ["plain square", "binding"]
    assert shopping_groups(totals)[0].items[-1].what == UNCHOSEN


def test_a_quilt_of_nothing_buys_nothing() -> None:
    totals = totals_of(project(), {}, [])
    assert shopping_groups(totals) == ()
    assert totals.cost is None


def test_fabric_too_narrow_for_its_purpose_is_told_of() -> None:
    """Nothing else is kept from being reckoned."""
    wide = Assembly((("Gull",),), borders=NINE.borders, binding=Strip(1100.0, "sun"))
    totals = totals_of(project(entry("Gull"), assembly=wide), {"Gull": facts()}, [])
    assert [finding.sentence() for finding in totals.findings] == [
        "binding: can't be reckoned, because strips of 1016 mm can't be joined at 1100 mm a join; "
        "give a wider fabric or roll for it"
    ]
    assert [it.fabric for it in totals.fabrics] == ["noon sky", "night"]
