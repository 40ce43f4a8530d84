"""The schema of quilt.toml: valid, fresh, and of one mind with the reader."""

import importlib.util
import tomllib
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from applique.export.formats import FORMATS
from applique.quilt.schema import schema, schema_text
from applique.settings import SPECS
from tests.conftest import SAMPLES
from tests.quilt.quilt_texts import BAD, FULL, SMALL, Bad

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = schema(tuple(FORMATS))
VALIDATOR = Draft202012Validator(SCHEMA)


def is_taken(text: str) -> bool:
    return VALIDATOR.is_valid(tomllib.loads(text))


def test_the_schema_is_a_schema() -> None:
    # Against the meta-schema of JSON Schema 2020-12, as the jsonschema library has it.
    Draft202012Validator.check_schema(SCHEMA)


def test_the_file_is_fresh() -> None:
    """`python docs/make_schema.py` rewrites it."""
    spec = importlib.util.spec_from_file_location("make", ROOT / "docs" / "make_schema.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    assert module.FILE.read_text(encoding="utf-8") == schema_text(tuple(FORMATS))


@pytest.mark.parametrize("text", [SMALL, FULL], ids=["small", "full"])
def test_the_documented_quilts_are_taken(text: str) -> None:
    assert is_taken(text)


def test_the_harbour_quilt_is_taken() -> None:
    assert is_taken((SAMPLES / "harbour-quilt.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("bad", BAD.values(), ids=BAD.keys())
def test_what_the_reader_refuses_is_refused_where_a_schema_can_know(bad: Bad) -> None:
    assert is_taken(bad.text) != bad.in_schema


def objects_in(part: object) -> list[dict]:
    found = [part] if isinstance(part, dict) and part.get("type") == "object" else []
    inner = part.values() if isinstance(part, dict) else part if isinstance(part, list) else ()
    return [*found, *(one for child in inner for one in objects_in(child))]


def test_every_table_is_closed_and_every_key_explained() -> None:
    tables = objects_in(SCHEMA)
    assert len(tables) > 12
    for table in tables:
        assert "additionalProperties" in table
        for name, key in table.get("properties", {}).items():
            assert key["description"].endswith("."), name


def test_the_documented_quilt_uses_every_key() -> None:
    """So that the example shows all there is, and the test above tries all of it."""

    def unused(table: dict, data: dict) -> list[str]:
        left = []
        for name, key in table["properties"].items():
            if name not in data:
                left.append(name)
            elif key.get("type") == "object" and "properties" in key:
                left += unused(key, data[name])
        return left

    assert unused(SCHEMA, tomllib.loads(FULL)) == []


def test_settings_are_those_of_the_settings_table() -> None:
    settings = SCHEMA["$defs"]["settings"]["properties"]
    assert set(settings) == {name for name, spec in SPECS.items() if spec.scope != "element"}
    assert settings["edge"]["enum"] == list(SPECS["edge"].choices)
    width = settings["edge-width"]
    assert (width["minimum"], width["maximum"]) == (SPECS["edge-width"].low, 12.0)
    # A weight may stand without quotes; the reader takes both.
    assert is_taken(FULL.replace('thread-weight = "40"', "thread-weight = 40"))
