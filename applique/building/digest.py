"""What tells one task's inputs from another's: digests of plain objects and of the program."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

import applique

_OURS = (".py", ".toml", ".css", ".js")
"""The endings of the files that the program is made of."""

_LIBRARIES = ("numpy", "shapely", "scipy", "pyclipper", "pyembroidery", "pillow", "reportlab")
"""Libraries whose next version may give other numbers, or write other bytes."""


def digest_of(*things: Any) -> str:
    """A SHA-256 digest, in hexadecimal, of plain objects: frozen dataclasses, mappings, sequences,
    sets, numbers, words, bytes, arrays and shapes. Raises TypeError for anything else."""
    told = json.dumps([_told(thing) for thing in things], sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()


def digest_of_bytes(data: bytes) -> str:
    """The digest of a file's content."""
    return hashlib.sha256(data).hexdigest()


@cache
def digest_of_program() -> str:
    """The digest of the program itself and of what it reckons with: another version may make other
    files of the same quilt."""
    package = Path(applique.__file__).parent
    whole = hashlib.sha256(applique.__version__.encode())
    for library in _LIBRARIES:
        whole.update(f"{library} {version(library)}".encode())
    for path in sorted(package.rglob("*")):
        if path.suffix in _OURS and path.is_file():
            whole.update(path.relative_to(package).as_posix().encode())
            whole.update(path.read_bytes())
    return whole.hexdigest()


def _told(thing: Any) -> Any:
    """An object as JSON can hold it."""
    if thing is None or isinstance(thing, str | bool | int | float):
        return thing
    if isinstance(thing, bytes):
        return digest_of_bytes(thing)
    if isinstance(thing, np.ndarray):
        return thing.tolist()
    if isinstance(thing, BaseGeometry):
        return shapely.to_wkb(thing, hex=True, byte_order=1)
    if is_dataclass(thing) and not isinstance(thing, type):
        values = {field.name: _told(getattr(thing, field.name)) for field in fields(thing)}
        return [type(thing).__name__, values]
    if isinstance(thing, Mapping):
        return ["mapping", [[_told(name), _told(value)] for name, value in thing.items()]]
    if isinstance(thing, set | frozenset):
        return ["set", sorted(json.dumps(_told(each), sort_keys=True) for each in thing)]
    if isinstance(thing, tuple | list):
        return [_told(each) for each in thing]
    raise TypeError(f"{type(thing).__name__} has no digest")
