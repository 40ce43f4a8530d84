"""Every default is in docs/sources.md with the value that it has."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from applique.hoops.fields import read_fields
from applique.resources import hoop_fields_text
from applique.settings import SPECS, resolve
from applique.spec import Spec
from applique.table import EDGES, METHODS

DOCS = Path(__file__).resolve().parent.parent / "docs"
SOURCES = (DOCS / "sources.md").read_text(encoding="utf-8")


def rows(heading: str) -> dict[str, list[str]]:
    """The cells of a section's table rows, by what stands in the first."""
    section = SOURCES.partition(f"\n## {heading}\n")[2].partition("\n## ")[0]
    cells = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in section.splitlines()
        if line.startswith("|")
    ]
    return {row[0]: row[1:] for row in cells}


LARGE_MM = 100.0
"""Across a piece that is not small."""

SETTINGS = rows("The settings, one by one")


@pytest.mark.parametrize("spec", SPECS.values(), ids=SPECS)
def test_every_setting_has_its_default_and_a_source(spec: Spec) -> None:
    default, source = SETTINGS[f"`{spec.name}`"]
    if spec.default is None:
        assert default == "automatic"
    else:
        value = spec.default if isinstance(spec.default, str) else f"{spec.default:g}"
        assert default == f"{value} {spec.unit}".strip()
    assert source


def test_nothing_is_told_of_settings_that_there_are_not() -> None:
    told = {name.strip("`") for name in SETTINGS if name.startswith("`")}
    assert told == set(SPECS)


@pytest.mark.parametrize("edge", [edge for edge in EDGES if edge != "straight"])
def test_automatic_widths_are_as_told(edge: str) -> None:
    *told, source = SETTINGS[edge]
    for method, words in zip(METHODS, told, strict=True):
        chosen = resolve({"edge": edge, "method": method}, narrow_side_mm=LARGE_MM)
        assert words == f"{chosen.edge_width_mm:g}, {chosen.edge_outside_mm:g} outside"
    assert source


def test_every_row_has_a_source() -> None:
    """The last cell says where a figure comes from, or that it is from memory or our own."""
    lines = re.findall(r"^\|(.*)\|$", SOURCES, re.M)
    told = [line for line in lines if not re.fullmatch(r"[-|]+", line)]
    assert [line for line in told if not line.rpartition("|")[2].strip()] == []


def test_every_usual_field_is_in_the_table_of_hoops() -> None:
    page = (DOCS / "hooping.md").read_text(encoding="utf-8")
    told = re.findall(r"^\| (\d+x\d+) \| (\S+) \|$", page, re.M)
    fields = read_fields(hoop_fields_text())
    assert told == [(field.name, field.inches) for field in fields]
