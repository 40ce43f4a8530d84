"""Hooping Plan: the fewest hoopings of the block, drawn over it."""

from __future__ import annotations

import argparse
import re
import time

from lxml import etree

from applique.editor.notify import finding_lines
from applique.errors import UsageError
from applique.hooping import plan_hoopings, read_layered
from applique.hoops.fields import field_of, read_fields
from applique.hoops.plan import HoopingPlan
from applique.hoops.request import HoopRequest
from applique.hoops.told import found_and_needed
from applique.pictures.colours import hexadecimal, hooping_colour
from applique.resources import hoop_fields_text
from applique.svg.hooplayer import DrawnCross, DrawnHooping, write_hoopings

LONGEST_S = 20.0
"""The editor can't be used meanwhile, so a search ends by then with the best it has."""


def draw_hoopings(root: etree._Element, options: argparse.Namespace) -> list[str]:
    """Draw the plan into the document; returns what is to be told. Raises InputError and UsageError
    saying what stands in the way."""
    usual = read_fields(hoop_fields_text())
    words = [word.strip() for word in re.split(r"[,;]", str(options.fields)) if word.strip()]
    try:
        request = HoopRequest(
            fields=tuple(field_of(word, usual) for word in words),
            turn=str(options.turn).lower() == "true",
            margin_mm=float(options.margin),
            too_large=options.too_large,
        )
    except ValueError as problem:
        raise UsageError(str(problem)) from None
    end = time.monotonic() + LONGEST_S
    made = plan_hoopings(read_layered(root), request, lambda progress: time.monotonic() < end)
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
