"""Pieces that have not changed are not sewn anew, and nobody can tell from the block."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from applique.building import shelf
from applique.building.asked import LayersAsked
from applique.building.shelf import StepShelf
from applique.building.sources import Source
from applique.building.task import Given, Made
from applique.building.works import layers
from applique.quilt.project import BlockEntry
from applique.threads.table import usual_spools

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
BLOCKS = ("lighthouse", "gull", "sailboat", "whale")
STEPS = "steps"


def layered(data: bytes, before: bytes | None = None, **settings: str) -> Made:
    entry = BlockEntry("Block", "block.svg", False)
    source = Source("block.svg", data)
    asked = LayersAsked(entry, source, {}, usual_spools(), settings, "layers", "cut", STEPS)
    return layers.make(asked, Given({}, {}, {} if before is None else {STEPS: before}))


def changed(data: bytes) -> bytes:
    """The drawing with the first coordinate of its fifth path a little further right."""
    paths = list(re.finditer(rb' d="M(-?[\d.]+),', data))
    found = paths[4]
    value = float(found[1]) + 1.5
    return data[: found.start(1)] + f"{value:g}".encode() + data[found.end(1) :]


@pytest.mark.parametrize("name", BLOCKS)
@pytest.mark.parametrize("order", ["piece", "fewest"])
def test_a_block_is_the_same_whether_its_steps_were_remembered(name: str, order: str) -> None:
    data = (SAMPLES / f"{name}.svg").read_bytes()
    remembered = layered(data, order=order).files[STEPS]
    other = changed(data)
    assert other != data
    fresh, again = layered(other, order=order), layered(other, remembered, order=order)
    assert again.files == fresh.files
    assert again.findings == fresh.findings


def test_only_what_changed_is_sewn(monkeypatch: pytest.MonkeyPatch) -> None:
    data = (SAMPLES / "gull.svg").read_bytes()
    remembered = layered(data).files[STEPS]
    sewn: list[str] = []
    plain = shelf.sewn

    def counted(laid, edges_last):  # type: ignore[no-untyped-def]
        sewn.append(laid.part.label)
        return plain(laid, edges_last)

    monkeypatch.setattr(shelf, "sewn", counted)
    layered(data, remembered)
    assert sewn == []
    layered(changed(data), remembered)
    assert 0 < len(sewn) < 6


def test_steps_of_another_version_of_the_program_are_forgotten(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    data = (SAMPLES / "gull.svg").read_bytes()
    remembered = layered(data).files[STEPS]
    assert StepShelf(remembered)._before
    monkeypatch.setattr(shelf, "digest_of_program", lambda: "another")
    assert not StepShelf(remembered)._before


@pytest.mark.parametrize("cut", [0, 1, 40, -1, -16])
def test_damaged_steps_are_forgotten(cut: int) -> None:
    data = (SAMPLES / "gull.svg").read_bytes()
    remembered = layered(data).files[STEPS]
    assert not StepShelf(remembered[:cut])._before
    assert not StepShelf(b"[]" + remembered)._before
