"""Small tasks for the tests, in a module of their own so that other processes find them."""

from __future__ import annotations

from applique.building.task import Given, Made, Task
from applique.errors import InputError
from applique.report import error, note


def write(asked: tuple[str, str], given: Given) -> Made:
    """Writes what it is asked to."""
    name, text = asked
    return Made({name: text.encode()}, {"length": len(text)}, (note("written", name, "is there"),))


def join(asked: str, given: Given) -> Made:
    """Joins the files it reads."""
    return Made({asked: b"+".join(given.files[name] for name in sorted(given.files))})


def refuse(asked: str, given: Given) -> Made:
    """Can't be done."""
    raise InputError(asked, [error("wrong", "sail", "has no fabric")])


def stumble(asked: str, given: Given) -> Made:
    """Has a fault."""
    return Made({asked: bytes(1 // 0)})


def count(asked: tuple[str, int], given: Given) -> Made:
    """Adds one letter to what it made before."""
    name, _ = asked
    return Made({name: given.before.get(name, b"") + b"x"})


def task(work, asked, name: str = "task", **more) -> Task:
    """A task of one of these."""
    return Task(name, "block", f"{name} of a block", work, asked, **more)
