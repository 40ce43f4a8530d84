"""Can't be done."""

from __future__ import annotations

from applique.building.task import Given, Made
from applique.errors import InputError
from applique.report import error


def make(asked: str, given: Given) -> Made:
    raise InputError(asked, [error("wrong", "sail", "has no fabric")])
