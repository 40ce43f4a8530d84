"""The samples are the golden tests: rebuilt byte for byte, sewn in all formats, nothing said.

`pytest --rewrite-goldens` writes them anew; look at the diff, and at the pictures, before you
commit it.
"""

from __future__ import annotations

import difflib
import platform
import re
import sys
from pathlib import Path

import numpy as np
import pytest

from applique.checks import check_document
from applique.cutsheets.reading import read_lots
from applique.cutting.request import CutRequest
from applique.export.formats import FORMATS
from applique.export.machine import machine_file
from applique.files import read_svg, svg_bytes
from applique.layering.stack import lay
from applique.pipeline import make_layers, read_plan, refresh_layers
from applique.sequence.pauses import with_pauses
from applique.sequence.plan import stitch_faults
from applique.sequence.precedence import precedence
from applique.svg.read import Request, read_block

SAMPLES = Path(__file__).resolve().parent.parent / "samples"
GOLDEN = Path(__file__).resolve().parent / "golden"

# Math libraries differ in the last bit elsewhere; the bytes are held to where CI runs.
BYTE_EXACT = sys.platform == "linux" and platform.machine() == "x86_64"
ELSEWHERE_WITHIN_MM = 0.02


def layered(sample: Path, **settings) -> bytes:
    tree = read_svg(sample)
    make_layers(tree.getroot(), Request(settings=settings))
    return svg_bytes(tree)


def test_layers_are_as_they_were(
    sample: Path, rewrite_goldens: bool, capfd: pytest.CaptureFixture[str]
) -> None:
    made = layered(sample)
    golden = GOLDEN / f"{sample.stem}-layers.svg"
    if rewrite_goldens:
        GOLDEN.mkdir(exist_ok=True)
        golden.write_bytes(made)
    expected = golden.read_bytes()
    if BYTE_EXACT:
        assert made == expected, _difference(expected, made)
    else:
        numbers = [
            np.array(re.findall(r"-?\d+\.?\d*", text.decode()), dtype=float)
            for text in (expected, made)
        ]
        assert numbers[0] == pytest.approx(numbers[1], abs=ELSEWHERE_WITHIN_MM)
    assert capfd.readouterr() == ("", "")


def _difference(expected: bytes, made: bytes) -> str:
    lines = difflib.unified_diff(
        expected.decode().splitlines(),
        made.decode().splitlines(),
        "golden",
        "made",
        lineterm="",
        n=0,
    )
    return "\n".join(line[:160] for line in list(lines)[:40])


def test_no_stitch_is_made_too_long_or_too_short(sample: Path) -> None:
    for edge in ("satin", "blanket", "zigzag", "straight"):
        root = read_svg(sample).getroot()
        assert stitch_faults(make_layers(root, Request(settings={"edge": edge})).steps) == []


def test_samples_are_blocks_worth_their_name(sample: Path) -> None:
    root = read_svg(sample).getroot()
    block = read_block(root).block
    assert 10 <= len(block.pieces) <= 25
    assert block.frame is not None
    assert block.background
    assert {piece.fabric for piece in block.pieces} <= {fabric.name for fabric in block.fabrics}


def test_samples_bring_overlaps_holes_clones_and_transforms() -> None:
    text = "".join(
        path.read_text(encoding="utf-8")
        for path in sorted(GOLDEN.parent.parent.glob("samples/*.svg"))
    )
    assert 'fill-rule="evenodd"' in text
    assert "<use " in text
    assert "transform=" in text
    assert "<symbol" in text


def test_samples_have_nothing_to_complain_of(sample: Path) -> None:
    worse = [
        f.sentence() for f in check_document(read_svg(sample).getroot()) if f.severity != "note"
    ]
    assert worse == []


@pytest.mark.parametrize("order", ["piece", "fewest"])
@pytest.mark.parametrize("suffix", FORMATS)
def test_every_format_of_every_sample_reads_back_equal(
    sample: Path, suffix: str, order: str
) -> None:
    tree = read_svg(sample)
    make_layers(tree.getroot(), Request(settings={"order": order}))
    plan, findings = read_plan(tree.getroot())
    assert not findings
    assert machine_file(plan, suffix).data


def test_fewest_is_fewer_and_never_below_its_bound(sample: Path) -> None:
    blocks = {}
    for order in ("piece", "fewest"):
        tree = read_svg(sample)
        layers = make_layers(tree.getroot(), Request(settings={"order": order}))
        blocks[order] = layers.blocks
        assert layers.bound is None or layers.bound <= layers.blocks
    assert blocks["fewest"] <= 0.8 * blocks["piece"]


def test_a_refresh_finds_nothing_to_do(sample: Path) -> None:
    tree = read_svg(sample)
    make_layers(tree.getroot())
    before = svg_bytes(tree)
    layers = refresh_layers(tree.getroot())
    assert layers.made == ()
    assert svg_bytes(tree) == before


def test_layers_made_twice_are_the_same(sample: Path, tmp_path: Path) -> None:
    once = layered(sample)
    again = tmp_path / "again.svg"
    again.write_bytes(once)
    assert layered(again) == once


def test_pauses_follow_from_the_order_alone(sample: Path) -> None:
    tree = read_svg(sample)
    steps = make_layers(tree.getroot()).steps
    block = read_block(tree.getroot()).block
    laid = lay(block)[0]
    by_label = {item.piece.label: item for item in laid}
    again = with_pauses(steps, by_label, precedence(laid).laying, False)
    assert [step.pause for step in again] == [step.pause for step in steps]


def test_every_piece_is_cut_from_its_fabric(sample: Path) -> None:
    tree = read_svg(sample)
    make_layers(tree.getroot())
    pieces = read_block(tree.getroot()).block.pieces
    lots = read_lots([(sample.stem, tree.getroot())], CutRequest()).lots
    labels = {lot.name: {piece.label for piece in lot.pieces} for lot in lots}
    for piece in pieces:
        assert piece.label in labels[piece.fabric]
