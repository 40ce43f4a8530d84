"""Small tasks for the tests; their works are modules, so that other processes find them."""

from __future__ import annotations

from typing import Any

from applique.building.task import Task


def task(work: str, asked: Any, name: str = "task", **more: Any) -> Task:
    """A task of one of the works beside this file."""
    where = f"tests.building.works.{work}"
    return Task(name, "block", f"{name} of a block", where, asked, **more)
