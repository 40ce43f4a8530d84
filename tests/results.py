"""The classes of results that a room has, for the tests that hold for all of them."""

from __future__ import annotations

import importlib
import pkgutil
from dataclasses import fields, is_dataclass


def result_classes(room: str) -> list[type]:
    """All dataclasses that are defined in a room of the package."""
    package = importlib.import_module(f"applique.{room}")
    modules = pkgutil.iter_modules(package.__path__, f"applique.{room}.")
    return [
        item
        for module in modules
        for item in vars(importlib.import_module(module.name)).values()
        if isinstance(item, type) and is_dataclass(item) and item.__module__ == module.name
    ]


def is_frozen(kind: type) -> bool:
    """Whether the results of a class can't be changed."""
    return bool(vars(kind)["__dataclass_params__"].frozen)


def can_be_compared(kind: type) -> bool:
    """Whether `==` between two results of a class ends in True or False: an array of its own would
    make it an error, unless it is only asked whether they are the same object."""
    has_arrays = any("ndarray" in str(field.type) for field in fields(kind) if field.compare)
    return not (has_arrays and vars(kind)["__dataclass_params__"].eq)
