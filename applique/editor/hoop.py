"""Hooping Plan: the fewest hoopings of the block, drawn over it."""

from __future__ import annotations

import argparse

from lxml import etree

from applique.editor.hoop_words import hoop_request, not_too_long
from applique.editor.notify import finding_lines
from applique.hooping import plan_hoopings, read_layered
from applique.hoops.plan import HoopingPlan
from applique.hoops.told import found_and_needed
from applique.pictures.colours import hexadecimal, hooping_colour
from applique.svg.hooplayer import DrawnCross, DrawnHooping, write_hoopings


def draw_hoopings(root: etree._Element, options: argparse.Namespace) -> list[str]:
    """Draw the plan into the document; returns what is to be told. Raises InputError and UsageError
    saying what stands in the way."""
    made = plan_hoopings(read_layered(root), hoop_request(options), not_too_long())
    write_hoopings(root, _hoopings(made.plan), _crosses(made.plan))
    return [found_and_needed(made.plan), *finding_lines(made.findings)]


def _hoopings(plan: HoopingPlan) -> list[DrawnHooping]:
    return [
        DrawnHooping(
            hooping.number,
            hooping.field.name,
            hooping.field_box_mm,
            hexadecimal(hooping_colour(hooping.number)),
        )
        for hooping in plan.hoopings
    ]


def _crosses(plan: HoopingPlan) -> list[DrawnCross]:
    return [DrawnCross(cross.name, cross.place) for cross in plan.crosses]
