"""Writes what it is asked to."""

from __future__ import annotations

from applique.building.task import Given, Made
from applique.report import note


def make(asked: tuple[str, str], given: Given) -> Made:
    name, text = asked
    return Made({name: text.encode()}, {"length": len(text)}, (note("written", name, "is there"),))
