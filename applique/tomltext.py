"""TOML texts of the user: layouts, tables of threads, quilts."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from applique.errors import InputError

_MOST_LEVELS = 50
"""Tables within tables. None of our texts has more than a few."""

_MOST_BITS = 10_000
"""An integer of more can't be told in a sentence: Python writes none of more than 4,300 digits."""

_KEY = r"""(?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*"""
_DEEP_KEY = re.compile(rf"(?:^|[\[{{,])[ \t]*(?:{_KEY}){{{_MOST_LEVELS}}}", re.MULTILINE)
"""A key of so many parts that it takes its reader minutes when there are thousands of them."""


def read_toml(text: str, called: str) -> dict[str, Any]:
    """What a text holds; `called` is what a refusal calls it.

    Raises InputError if it is no TOML, or holds what nobody can work with: numbers without end,
    tables within tables without end.
    """
    too_deep = InputError(
        f"{called} can't be read: it is nested too deeply; put fewer tables into one another"
    )
    too_long = InputError(f"{called} can't be read: a number in it is far too long; shorten it")
    if _DEEP_KEY.search(text):
        raise too_deep
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise InputError(f"{called} can't be read: {problem}; mend it there") from None
    except RecursionError:
        raise too_deep from None
    except ValueError:
        raise too_long from None
    inside: list[tuple[object, int]] = [(data, 0)]
    while inside:
        value, level = inside.pop()
        if level > _MOST_LEVELS:
            raise too_deep
        if isinstance(value, int) and value.bit_length() > _MOST_BITS:
            raise too_long
        if isinstance(value, dict):
            inside.extend((each, level + 1) for each in value.values())
        elif isinstance(value, list):
            inside.extend((each, level + 1) for each in value)
    return data
