"""Has a fault."""

from __future__ import annotations

from applique.building.task import Given, Made


def make(asked: str, given: Given) -> Made:
    return Made({asked: bytes(1 // 0)})
