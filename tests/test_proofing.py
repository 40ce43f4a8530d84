"""The proof of a document: its stitches as they stand, be they stale or edited."""

import io
import json
from pathlib import Path

import numpy as np
import pytest
from lxml import etree
from PIL import Image

from applique.errors import InputError
from applique.pictures.proof import BLOCK_PX
from applique.pipeline import make_layers, read_plan
from applique.proofing import picture_of, pictures_of, prove_document
from applique.svg import vocabulary as v
from tests.shapes import drawing

SEA = '<rect id="sea" fill="#2f6f8f" x="10" y="10" width="40" height="30"/>'
ROCK = '<circle id="rock" fill="#7d7f80" cx="45" cy="30" r="14"/>'


@pytest.fixture
def layered() -> etree._Element:
    root = drawing(SEA + ROCK)
    make_layers(root)
    return root


def told(root: etree._Element) -> dict[str, str]:
    """Codes of the findings, and whom they are about."""
    return {found.code: found.object for found in prove_document(root).findings}


def element(root: etree._Element, name: str) -> etree._Element:
    return next(e for e in root.iter() if e.get("id") == name)


def test_without_layers_there_is_nothing_to_prove() -> None:
    """The same refusal as for a machine file."""
    with pytest.raises(InputError) as refused:
        prove_document(drawing(SEA))
    with pytest.raises(InputError) as like:
        read_plan(drawing(SEA))
    assert str(refused.value) == str(like.value)


def test_figures_are_those_of_the_plan(layered: etree._Element) -> None:
    plan, _ = read_plan(layered)
    figures = prove_document(layered).figures
    assert figures.stitches == plan.stitch_count
    assert figures.time.trims == sum(len(block.runs) for block in plan.blocks)
    assert [piece.label for piece in figures.pieces] == ["1", "2"]
    assert [piece.edge for piece in figures.pieces] == ["satin", "satin"]


def test_what_hides_an_edge_is_known(layered: etree._Element) -> None:
    """The sea's edge ends beneath the rock: nothing of what shows is bare."""
    for piece in prove_document(layered).figures.pieces:
        assert piece.cover is not None
        assert piece.cover.covered > 0.999
        assert piece.cover.overspill < 0.001


def test_stitches_are_judged_as_they_stand(layered: etree._Element) -> None:
    """A rock moved by 3 mm is no longer where its satin lies."""
    element(layered, "rock").set("cx", "48")
    found = prove_document(layered).findings
    stale = {(finding.severity, finding.object) for finding in found if finding.code == "stale"}
    assert ("note", "2") in stale
    assert {"bare", "overspill", "rail"} <= {f.code for f in found if f.object == "2"}


def test_an_edited_step_is_told(layered: etree._Element) -> None:
    group = next(g for g in layered.iter(v.svg("g")) if g.get(v.STEP) == "edge")
    path = next(iter(group.iter(v.svg("path"))))
    path.set("d", path.get("d").replace("L", "L 20,20 ", 1))
    assert told(layered)["edited"] == "1"


def test_a_piece_gone_from_the_drawing_is_told_by_its_stitches(layered: etree._Element) -> None:
    rock = element(layered, "rock")
    rock.getparent().remove(rock)
    proof = prove_document(layered)
    assert told(layered)["gone"] == "2"
    gone = proof.figures.pieces[-1]
    assert (gone.label, gone.edge, gone.cover) == ("2", "", None)
    assert gone.edge_lengths is not None


def test_a_piece_without_stitches_is_told(layered: etree._Element) -> None:
    sun = '<circle xmlns="http://www.w3.org/2000/svg" fill="#f0b83a" r="9" cx="80" cy="80"/>'
    element(layered, "rock").addnext(etree.fromstring(sun))
    element(layered, "rock").getnext().set(v.PIECE, "9")
    assert told(layered)["unmade"] == "9"


def test_an_edge_that_was_deleted_is_told(layered: etree._Element) -> None:
    edges = [g for g in layered.iter(v.svg("g")) if g.get(v.STEP) == "edge"]
    edges[1].getparent().remove(edges[1])
    assert told(layered)["missing"] == "2"


def test_a_stitch_no_machine_can_sew_is_an_error(layered: etree._Element) -> None:
    """And it is no refusal: all other figures are told."""
    group = next(g for g in layered.iter(v.svg("g")) if g.get(v.STEP) == "edge")
    path = next(iter(group.iter(v.svg("path"))))
    path.set("d", path.get("d") + " L 90,90")
    found = {finding.code: finding.severity for finding in prove_document(layered).findings}
    assert found["long-stitch"] == "error"
    assert found["tie"] == "warning"


def test_the_picture_shows_the_needle_points_of_the_figures(layered: etree._Element) -> None:
    proof = prove_document(layered)
    image = Image.open(io.BytesIO(picture_of(proof, ("6 POINTS",), None)))
    assert image.width > image.height
    closer = picture_of(proof, (), (40.0, 20.0, 10.0, 10.0))
    assert closer != picture_of(proof, (), (41.0, 20.0, 10.0, 10.0))
    smaller = Image.open(io.BytesIO(picture_of(proof, ("6 POINTS",), None, 1600)))
    assert smaller.width < image.width


def test_one_drawing_gives_the_proof_and_the_block(layered: etree._Element) -> None:
    proof = prove_document(layered)
    both = pictures_of(proof, ("6 POINTS",), 1600, {})
    assert both == pictures_of(proof, ("6 POINTS",), 1600, {})
    beside, block = (Image.open(io.BytesIO(data)) for data in both)
    assert max(block.size) == BLOCK_PX < beside.width
    assert (0x2F, 0x6F, 0x8F) in {colour for _, colour in block.getcolors(1_000_000)}


def test_samples_fall_short_in_nothing_but_thread_over_thread(sample: Path) -> None:
    """Where several edges and ties meet, thread lies more than three layers thick; else the samples
    reach every goal."""
    root = etree.parse(str(sample)).getroot()
    make_layers(root)
    proof = prove_document(root)
    assert {finding.code for finding in proof.findings} <= {"layers"}
    assert proof.figures.most_crowded.most <= 6
    assert proof.figures.least_covered is not None
    assert proof.figures.least_covered > 0.999
    assert proof.figures.ratio.likely
    again = prove_document(etree.fromstring(etree.tostring(root)))
    one, two = (json.dumps(each.figures.as_dict()) for each in (proof, again))
    assert one == two
    assert "NaN" not in one
    assert np.isfinite(proof.figures.layers.most)
