"""The JSON Schema of quilt.toml, made from its keys and the stitch settings.

Source of the form: JSON Schema, draft 2020-12. An editor that knows TOML completes and checks with
it; what the schema can't say (that a fabric is defined, say) only the reader tells.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Sequence
from typing import Any

from applique.papers import PAPERS_MM
from applique.quilt import keys
from applique.quilt.key import Key
from applique.settings import SPECS
from applique.spec import Spec
from applique.units import MM_PER_UNIT

Schema = dict[str, Any]

_NUMBER = r"[0-9]*\.?[0-9]+"
_UNITS = "|".join(unit for unit in MM_PER_UNIT if unit)
_LENGTH = rf"{_NUMBER}\s*({_UNITS})?"
_SIZE = rf"{_LENGTH}\s*[xX×]\s*{_LENGTH}"
_IN_FOLDER = r"(?!~)(?!([^/]*/)*\.{0,2}(/|$))[^\\:]+"
"""No part of a path is empty, `.` or `..`, and none names a drive."""


def schema(formats: Sequence[str]) -> Schema:
    """The schema of the whole file; `formats` are the endings of the stitch files that can be
    written."""
    everything = _table(keys.project(formats))
    one_of_both = [{"required": ["file"]}, {"required": ["layout"]}]
    everything["properties"]["block"]["items"]["oneOf"] = one_of_both
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "quilt.toml",
        "description": "A quilt: its fabrics, threads, machine and blocks. docs/quilt.md tells "
        "what each key is for.",
        **everything,
        "$defs": {
            "settings": {
                "type": "object",
                "additionalProperties": False,
                "properties": {
                    name: _setting(spec) for name, spec in SPECS.items() if spec.scope != "element"
                },
            },
        },
    }


def schema_text(formats: Sequence[str]) -> str:
    """The schema as the text of a file."""
    return json.dumps(schema(formats), indent=2, ensure_ascii=False) + "\n"


def _table(known: Sequence[Key]) -> Schema:
    """A table that may hold some keys and no others."""
    made: Schema = {
        "type": "object",
        "additionalProperties": False,
        "properties": {key.name: _property(key) for key in known},
    }
    needed = [key.name for key in known if key.needed]
    if needed:
        made["required"] = needed
    together = {key.name: [key.only_with] for key in known if key.only_with}
    if together:
        made["dependentRequired"] = together
    return made


def _property(key: Key) -> Schema:
    made = {"description": key.help, **_VALUES[key.kind](key)}
    if key.default is not None:
        made["default"] = key.default
    return made


def _text(key: Key) -> Schema:
    return {"type": "string", "pattern": r"\S"} if key.needed else {"type": "string"}


def _texts(key: Key) -> Schema:
    return {"type": "array", "items": {"type": "string"}}


def _number(key: Key) -> Schema:
    return {"type": "number", **_bounds(key.low, key.high)}


def _length(key: Key) -> Schema:
    return {"anyOf": [_number(key), _pattern(_LENGTH)]}


def _whole(key: Key) -> Schema:
    return {"type": "integer", **_bounds(key.low, key.high)}


def _size(key: Key) -> Schema:
    return _pattern(_SIZE)


def _sizes(key: Key) -> Schema:
    return {"type": "array", "items": _pattern(rf"{_SIZE}\s*[\"″]?(=[0-9]+)?")}


def _colour(key: Key) -> Schema:
    return _pattern("#([0-9a-fA-F]{3}){1,2}|[a-z].*")


def _paper(key: Key) -> Schema:
    return {"anyOf": [{"enum": list(PAPERS_MM)}, _pattern(_SIZE)]}


def _file(key: Key) -> Schema:
    endings = "|".join("".join(f"[{c}{c.upper()}]" for c in ending) for ending in key.choices)
    return _pattern(rf"{_IN_FOLDER}\.({endings})")


def _needles(key: Key) -> Schema:
    return {"anyOf": [{"const": "single"}, _whole(key)]}


def _rows(key: Key) -> Schema:
    return {"type": "array", "items": _texts(key)}


def _tables(key: Key) -> Schema:
    made: Schema = {"type": "array", "items": _table(key.keys)}
    return {**made, "minItems": 1} if key.needed else made


def _named(key: Key) -> Schema:
    """Tables by names of the user's own, each of which may be its colour alone."""
    colour = next(one for one in key.keys if one.kind == "colour")
    return {
        "type": "object",
        "propertyNames": {"pattern": r"^\S(.*\S)?$"},
        "additionalProperties": {"anyOf": [_colour(colour), _table(key.keys)]},
    }


def _settings(key: Key) -> Schema:
    return {"$ref": "#/$defs/settings"}


_VALUES: dict[str, Callable[[Key], Schema]] = {
    "text": _text,
    "texts": _texts,
    "number": _number,
    "length": _length,
    "whole": _whole,
    "yes": lambda key: {"type": "boolean"},
    "size": _size,
    "sizes": _sizes,
    "choice": lambda key: {"enum": list(key.choices)},
    "colour": _colour,
    "hex": lambda key: _pattern("#[0-9a-fA-F]{6}"),
    "paper": _paper,
    "file": _file,
    "needles": _needles,
    "rows": _rows,
    "table": lambda key: _table(key.keys),
    "tables": _tables,
    "named": _named,
    "settings": _settings,
}


def _setting(spec: Spec) -> Schema:
    """A stitch setting. Words that are numbers, as of thread weights, may stand without quotes."""
    unit = f" In {spec.unit}." if spec.unit else ""
    made: Schema = {"description": spec.help + unit}
    if spec.choices:
        numbers = [int(choice) for choice in spec.choices if choice.isdigit()]
        made["enum"] = [*spec.choices, *numbers]
    else:
        made["type"] = "integer" if spec.whole else "number"
        made |= _bounds(spec.low, spec.high)
    if spec.default is not None:
        made["default"] = spec.default
    return made


def _bounds(low: float, high: float) -> Schema:
    named = {"minimum": low, "maximum": high}
    return {word: value for word, value in named.items() if math.isfinite(value)}


def _pattern(pattern: str) -> Schema:
    return {"type": "string", "pattern": rf"^\s*({pattern})\s*$"}
