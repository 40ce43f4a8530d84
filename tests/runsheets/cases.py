"""The lighthouse's run sheet, of one file and of hoopings, for all tests of run sheets."""

from __future__ import annotations

from functools import cache

from lxml import etree

from applique.carding import card_of
from applique.files import read_svg
from applique.hooping import plan_hoopings, read_layered
from applique.hoops.fields import Field
from applique.hoops.plan import HoopingPlan
from applique.hoops.request import HoopRequest
from applique.paper.content import Card
from applique.paper.run_content import RunSheet
from applique.pipeline import make_layers
from applique.quilt.machine import Machine
from applique.quilt.project import Guidance
from applique.runsheets.sheet import run_sheet_of_block, run_sheet_of_hoopings
from applique.runsheets.wishes import Wishes
from tests.conftest import SAMPLES

GUIDANCE = Guidance("75/11 sharp", "one layer of tear-away", ("Starch the sky.",))
REQUEST = HoopRequest((Field(200.0, 260.0),))


@cache
def layered() -> etree._Element:
    """The lighthouse with its layers."""
    root = read_svg(SAMPLES / "lighthouse.svg").getroot()
    make_layers(root)
    return root


@cache
def card() -> Card:
    return card_of(layered())[0]


@cache
def hooping_plan() -> HoopingPlan:
    return plan_hoopings(read_layered(layered()), REQUEST).plan


def wishes(format: str = "dst", needles: int = 1) -> Wishes:
    machine = Machine(format, "many" if needles > 1 else "single", needles)
    return Wishes(machine, guidance=GUIDANCE)


@cache
def block_sheet(format: str = "dst", needles: int = 1) -> RunSheet:
    name = f"lighthouse.{format}"
    return run_sheet_of_block(layered(), card(), name, wishes(format, needles))


@cache
def hooping_sheet(needles: int = 1) -> RunSheet:
    plan = hooping_plan()
    names = [f"lighthouse-hooping-{hooping.number}.dst" for hooping in plan.hoopings]
    return run_sheet_of_hoopings(plan, REQUEST, card(), names, wishes("dst", needles))
