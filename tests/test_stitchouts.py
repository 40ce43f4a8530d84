"""What the stitch-out page plays, against the files themselves.

Tape files are read with the independent decoder of tests/export/tape.py.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from lxml import etree

from applique.carding import card_of
from applique.errors import OutputError
from applique.export.machine import machine_file
from applique.export.reading import read_machine
from applique.files import read_svg
from applique.hooping import plan_hoopings, read_layered
from applique.hoops.fields import Field
from applique.hoops.filed import file_plan
from applique.hoops.layered import Layered
from applique.hoops.lining.steps import UNTHREADED
from applique.hoops.request import HoopRequest
from applique.layering.fabric import patch_of
from applique.model import LaidPiece, Plan
from applique.pages.stitchout_content import PlayedBlock, StitchOut
from applique.pipeline import make_layers, read_plan
from applique.stitchouts import BACKGROUND, SewnFile, stitch_out_of, stitch_out_of_file
from applique.svg import vocabulary as v
from applique.svg.read import Request
from applique.svg.tagged import read_steps
from tests.conftest import SAMPLES
from tests.export.tape import decode
from tests.shapes import drawing

SEA = '<rect id="sea" fill="#2f6f8f" x="10" y="10" width="40" height="30" ap:piece="1"/>'
ROCK = '<circle id="rock" fill="#7d7f80" cx="45" cy="30" r="14" ap:piece="11"/>'
SUN = (
    '<circle id="sun" fill="#f4cf5e" cx="80" cy="80" r="10" ap:piece="2" ap:method="cut-in-hoop"/>'
)


def made(content: str, **settings: str) -> etree._Element:
    root = drawing(content)
    make_layers(root, Request(settings={n.replace("_", "-"): s for n, s in settings.items()}))
    return root


def filed(root: etree._Element, suffix: str) -> tuple[Layered, Plan, SewnFile]:
    plan, _ = read_plan(root)
    reading = read_machine(machine_file(plan, suffix).data, suffix)
    return read_layered(root), plan, SewnFile("", reading, read_steps(root).steps, plan.centre)


def played(root: etree._Element, suffix: str = "dst") -> StitchOut:
    layered, _, file = filed(root, suffix)
    return stitch_out_of(layered, [file])


def blocks_of(content: StitchOut) -> list[PlayedBlock]:
    return [block for sitting in content.sittings for block in sitting.blocks]


def points_of(content: StitchOut) -> np.ndarray:
    return np.vstack([run for block in blocks_of(content) for run in block.runs])


def test_every_stitch_of_the_file_is_played_where_it_is_sewn() -> None:
    root = made(SEA + ROCK + SUN)
    plan, _ = read_plan(root)
    tape = decode(machine_file(plan, "dst").data)
    wanted = np.array(tape.stitches) / 10 + np.array(plan.centre)
    assert points_of(played(root)) == pytest.approx(wanted, abs=1e-6)


def test_threads_are_those_of_the_layers_whatever_the_file_shows() -> None:
    """The stop between a piece's placement and its edge is there because the file shows another
    colour; the thread stays."""
    root = made(SEA)
    placement, edge = blocks_of(played(root, "pes"))
    assert (placement.colour, edge.colour) == ("#2f6f8f", "#2f6f8f")
    assert placement.screen_colour == ""
    assert edge.screen_colour not in ("", "#2f6f8f")
    assert [block.screen_colour for block in blocks_of(played(root, "dst"))] == ["", ""]


@pytest.mark.parametrize(("sample", "order"), [("whale", "piece"), ("lighthouse", "fewest")])
def test_fabrics_are_laid_and_trimmed_at_the_stops_of_the_card(sample: str, order: str) -> None:
    root = read_svg(SAMPLES / f"{sample}.svg").getroot()
    make_layers(root, Request(settings={"order": order}))
    card, _ = card_of(root)
    wanted = {(pause.laid, pause.trimmed) for pause in card.pauses}
    acting = [block for block in blocks_of(played(root)) if block.laid or block.trimmed]
    assert {(tuple(p.label for p in b.laid), b.trimmed) for b in acting} == wanted


def test_what_is_done_at_a_stop_stands_before_what_is_sewn_after_it() -> None:
    first, second, third, *_ = blocks_of(played(made(SEA + ROCK)))
    assert (first.words, first.laid) == ("", ())
    assert (
        second.words == "Lay sea blue over the line of 1." or "over the line of 1." in second.words
    )
    assert [patch.label for patch in second.laid] == ["1"]
    assert third.words == "Change the thread."
    assert (first.labels, second.labels, third.labels) == (("1",), ("1",), ("11",))


def test_a_fused_piece_is_laid_at_its_own_stop_not_where_it_is_sewn() -> None:
    """Edges sewn last, and no tack: nothing of the first piece is sewn between the two stops."""
    blocks = blocks_of(played(made(SEA + ROCK, edges="last", tack="none")))
    laid = [(block.words, [patch.label for patch in block.laid]) for block in blocks if block.laid]
    assert [labels for _, labels in laid] == [["1"], ["11"]]
    assert all(f"over the line of {labels[0]}." in words for words, labels in laid)


def test_a_patch_is_larger_until_it_is_trimmed() -> None:
    root = made(SUN)
    layered, _, file = filed(root, "dst")
    blocks = blocks_of(stitch_out_of(layered, [file]))
    [piece] = [item for item in layered.laid if isinstance(item, LaidPiece)]
    [at] = [k for k, block in enumerate(blocks) if block.laid]
    [trimmed] = [k for k, block in enumerate(blocks) if block.trimmed]
    assert at < trimmed
    [patch] = blocks[at].laid
    assert patch.untrimmed is not None
    assert patch.untrimmed.equals(patch_of(piece))
    assert patch.shape.equals(piece.cut)
    assert blocks[trimmed].trimmed == ("2",)
    assert shapely.box(*played(root).area_mm).contains(patch.untrimmed)


def test_words_of_the_user_s_own_are_told_and_lay_what_was_placed() -> None:
    root = made(SEA)
    group = next(g for g in root.iter(v.svg("g")) if g.get(v.PAUSE))
    group.set(v.PAUSE, "Iron first.")
    _, second = blocks_of(played(root))
    assert second.words == "Iron first."
    assert [patch.label for patch in second.laid] == ["1"]


def test_hoopings_lie_on_the_block_turned_or_not() -> None:
    """What their files sew, turned back, are the steps' own penetrations, on the frame's steps."""
    root = made(SEA + ROCK + SUN)
    layered = read_layered(root)
    request = HoopRequest((Field(40.0, 70.0),), turn=True)
    plan = plan_hoopings(layered, request).plan
    assert {hooping.turned for hooping in plan.hoopings} == {True, False}
    files = []
    for hooping in plan.hoopings:
        data = machine_file(file_plan(hooping, "x", plan.block_centre), "dst").data
        files.append(
            SewnFile(
                f"Hooping {hooping.number}",
                read_machine(data, "dst"),
                hooping.steps,
                hooping.centre,
                hooping.turned,
                hooping.field_box_mm,
            )
        )
    content = stitch_out_of(layered, files)
    sewn = shapely.MultiPoint(points_of(content))
    steps = [path for hooping in plan.hoopings for step in hooping.steps for path in step.paths]
    assert sewn.hausdorff_distance(shapely.MultiPoint(np.vstack(steps))) <= 0.05 * 2**0.5 + 1e-6
    for sitting in content.sittings:
        assert sitting.field_box_mm is not None
        field = shapely.box(*sitting.field_box_mm)
        runs = [run for block in sitting.blocks for run in block.runs]
        assert field.buffer(0.1).covers(shapely.MultiPoint(np.vstack(runs)))
    laid = [patch.label for block in blocks_of(content) for patch in block.laid]
    assert sorted(laid) == ["1", "11", "2"]
    # The needle that goes round a cross has no thread.
    names = {block.colour: block.thread_name for block in blocks_of(content)}
    assert names.get("", UNTHREADED.name) == UNTHREADED.name


def test_the_file_of_other_layers_is_refused() -> None:
    layered, _, _ = filed(made(SEA + ROCK), "dst")
    _, plan, other = filed(made(SEA), "dst")
    steps = read_steps(made(SEA + ROCK)).steps
    with pytest.raises(OutputError, match="has 1 stops where its layers have 3; write it anew"):
        stitch_out_of(layered, [SewnFile("", other.reading, steps, plan.centre)])


def test_a_file_by_itself_has_its_own_colours_and_no_fabrics() -> None:
    plan, _ = read_plan(made(SEA + ROCK))
    data = machine_file(plan, "pes").data
    content = stitch_out_of_file(read_machine(data, "pes"), "found")
    assert content.title == "found"
    assert content.background_colour == BACKGROUND
    assert content.stitch_count == plan.stitch_count
    assert blocks_of(content)[0].colour == "#2f6f8f"
    assert all(not block.laid for block in blocks_of(content))
