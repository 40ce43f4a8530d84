"""Joins the files it reads."""

from __future__ import annotations

from applique.building.task import Given, Made


def make(asked: str, given: Given) -> Made:
    return Made({asked: b"+".join(given.files[name] for name in sorted(given.files))})
