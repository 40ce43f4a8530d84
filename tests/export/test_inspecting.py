"""The figures of a machine file, against closed forms and published figures."""

import numpy as np
import pytest
from lxml import etree

from applique.export.inspecting import FileFigures, fields_for, inches, inspect_file
from applique.export.machine import machine_file
from applique.export.reading import read_machine
from applique.hoops.fields import Field, read_fields
from applique.model import Plan, Thread, ThreadBlock
from applique.pipeline import read_plan
from applique.proof.thread import BACK_SHARE, TAIL_MM, THICKNESS_MM, plausible, thread_use
from applique.proof.time import USUAL_PACE
from applique.resources import hoop_fields_text
from tests.conftest import TESTS

BLUE, RED = Thread("#2f6f8f"), Thread("#b2392f")
USUAL = read_fields(hoop_fields_text())
LAYERED = sorted((TESTS / "golden").glob("*-layers.svg"))


def figures_of(*blocks: ThreadBlock, suffix: str = "pes") -> FileFigures:
    plan = Plan("Harbour", (0.0, 0.0), blocks)
    return inspect_file(read_machine(machine_file(plan, suffix).data, suffix), USUAL)


def run(*points: tuple[float, float]) -> np.ndarray:
    return np.array(points, dtype=float)


TWO = (
    ThreadBlock(BLUE, (run((-10, 0), (-7, 0), (-7, 4)), run((20, 5), (22, 5)))),
    ThreadBlock(RED, (run((0, -3), (0, -1)),)),
)


def test_size_and_extents_are_those_of_the_needle_points() -> None:
    figures = figures_of(*TWO)
    extents = figures.extents
    assert (extents.left_mm, extents.right_mm) == (10, 22)
    assert (extents.up_mm, extents.down_mm) == (3, 5)
    assert (extents.width_mm, extents.height_mm) == (32, 8)
    assert inches(25.4) == "1.0"
    assert figures.off_centre_mm == pytest.approx((6, 1))


def test_stitches_stops_trims_and_lengths_are_counted() -> None:
    figures = figures_of(*TWO)
    assert (figures.stitches, figures.stops, figures.time.trims) == (7, 1, 3)
    assert [(block.thread.colour, block.stitches) for block in figures.blocks] == [
        (BLUE.colour, 5),
        (RED.colour, 2),
    ]
    assert figures.lengths is not None
    assert figures.lengths.shortest_mm == pytest.approx(2)
    assert figures.lengths.median_mm == pytest.approx(2.5)
    assert figures.lengths.longest_mm == pytest.approx(4)
    assert figures.jumps is not None


def test_a_file_of_single_needle_points_has_no_length() -> None:
    assert figures_of(ThreadBlock(BLUE, (run((3, 3)),))).lengths is None


def test_everything_is_told_to_a_script() -> None:
    told = figures_of(*TWO, suffix="dst").as_dict()
    assert told["size_mm"] == [32, 8]
    assert told["colours_stored"] == "none"
    assert told["thread"]["tails_needle_mm"] == round(6 * TAIL_MM)
    assert [block["trims"] for block in told["blocks"]] == [2, 1]


def test_a_script_is_told_every_figure() -> None:
    """Steps of 3, 4, 2 and 2 mm. None of them swings back, so each takes its length and the 0.8 mm
    of the layers of either thread: 11.4 mm of blue, 2.8 mm of red."""
    pace = USUAL_PACE
    minutes = 7 / pace.stitches_per_minute + (3 * pace.trim_seconds + pace.stop_seconds) / 60
    told = figures_of(*TWO).as_dict()
    fields = told.pop("fields")
    assert fields[0] == {"field_mm": [100, 100], "turned": False}
    assert told == {
        "format": "PES stitch file",
        "name": "Harbour",
        "colours_stored": "exact",
        "size_mm": [32, 8],
        "extents_mm": {"left": 10, "right": 22, "up": 3, "down": 5},
        "off_centre_mm": [6, 1],
        "stitches": 7,
        "stops": 1,
        "trims": 3,
        "jumps": 3,
        "stitch_mm": {"shortest": 2, "median": 2.5, "longest": 4},
        "blocks": [
            {"colour": BLUE.colour, "name": "", "stitches": 5, "trims": 2},
            {"colour": RED.colour, "name": "", "stitches": 2, "trims": 1},
        ],
        "thread": {
            "spools": [
                {"colour": BLUE.colour, "name": "", "needle_mm": 11, "bobbin_mm": 11},
                {"colour": RED.colour, "name": "", "needle_mm": 3, "bobbin_mm": 3},
            ],
            "needle_mm": 14,
            "bobbin_mm": 14,
            "tails_needle_mm": 150,
            "tails_bobbin_mm": 150,
        },
        "machine_minutes": round(minutes, 1),
    }


def test_figures_are_rounded_to_what_can_be_measured() -> None:
    """A step of 1.3 mm right and 0.7 mm down is 1.4765 mm long."""
    told = figures_of(ThreadBlock(BLUE, (run((0.2, -0.1), (1.5, 0.6)),))).as_dict()
    assert told["stitch_mm"] == {"shortest": 1.48, "median": 1.48, "longest": 1.48}
    assert told["extents_mm"] == {"left": -0.2, "right": 1.5, "up": 0.1, "down": 0.6}
    assert told["size_mm"] == [1.3, 0.7]
    assert told["off_centre_mm"] == [0.85, 0.25]


@pytest.mark.parametrize(("right", "off"), [(10.9, None), (11.0, (0.5, 0)), (9.0, (-0.5, 0))])
def test_off_centre_is_told_from_half_a_millimetre(right: float, off: tuple | None) -> None:
    figures = figures_of(ThreadBlock(BLUE, (run((-10, 0), (0, 0), (right, 0)),)))
    assert figures.off_centre_mm == (None if off is None else pytest.approx(off))


def test_a_single_colour_has_no_stop() -> None:
    assert figures_of(TWO[1]).stops == 0


# Thread


def test_a_satin_circle_takes_the_thread_of_its_closed_form() -> None:
    """n stitches from rail to rail of a ring: each is the third side of a triangle of the two
    radii and the angle pi / n between them. With T the thickness and b the share of the back, each
    takes (1 + b) L + 2 T of needle thread and (1 - b) L of bobbin thread (docs/proof.md)."""
    inner, outer, stitches = 20.0, 23.5, 720
    turn = np.pi / 360 * np.arange(stitches + 1)
    radius = np.where(np.arange(stitches + 1) % 2, outer, inner)
    ring = np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1)
    length = np.sqrt(inner**2 + outer**2 - 2 * inner * outer * np.cos(np.pi / 360))
    needle = stitches * ((1 + BACK_SHARE) * length + 2 * THICKNESS_MM)
    bobbin = stitches * (1 - BACK_SHARE) * length
    exact = thread_use([ring])
    assert (exact.needle_mm, exact.bobbin_mm) == pytest.approx((needle, bobbin), rel=1e-9)
    # A file holds whole steps of 0.1 mm, so its stitches are not quite those.
    filed = figures_of(ThreadBlock(BLUE, (ring,))).thread
    assert (filed.needle_mm, filed.bobbin_mm) == pytest.approx((needle, bobbin), rel=2e-3)


@pytest.fixture(params=LAYERED, ids=lambda path: path.stem)
def sewn_sample(request: pytest.FixtureRequest) -> FileFigures:
    plan, _ = read_plan(etree.parse(str(request.param)).getroot())
    return inspect_file(read_machine(machine_file(plan, "dst").data, "dst"), USUAL)


def test_needle_thread_lies_about_the_published_figure(sewn_sample: FileFigures) -> None:
    """5 m of needle thread for 1,000 stitches, and 8 m of both, are a maker's published figures."""
    assert 3 <= sewn_sample.thread.needle_mm / sewn_sample.stitches <= 7
    assert plausible("embroidery", sewn_sample.thread, sewn_sample.stitches)


def test_bobbin_thread_lies_about_the_published_figure(sewn_sample: FileFigures) -> None:
    """3 m of bobbin thread for 1,000 stitches are a maker's published figure."""
    assert 2 <= sewn_sample.thread.bobbin_mm / sewn_sample.stitches <= 4


def test_threads_of_one_colour_are_one_spool() -> None:
    figures = figures_of(*TWO, TWO[0])
    assert [thread.colour for thread, _ in figures.spools] == [BLUE.colour, RED.colour]


# Fields


def test_the_smallest_field_comes_first_and_the_margin_counts() -> None:
    assert fields_for(98, 98, USUAL)[0].field.name == "100x100"
    assert fields_for(98.1, 98, USUAL)[0].field.name == "130x180"


def test_a_field_is_turned_only_where_it_must_be() -> None:
    fields = (Field(130, 180), Field(200, 200))
    assert [(fit.field.name, fit.turned) for fit in fields_for(170, 120, fields)] == [
        ("130x180", True),
        ("200x200", False),
    ]
    assert [fit.turned for fit in fields_for(120, 120, fields)] == [False, False]


@pytest.mark.parametrize(
    ("width", "height", "turned"),
    [
        (128, 178, [False]),
        (128.1, 178, []),
        (128, 178.1, []),
        (178, 128, [True]),
        (178.1, 128, []),
        (178, 128.1, []),
        (128, 128, [False]),
    ],
)
def test_a_margin_of_1_mm_is_kept_on_each_side(
    width: float, height: float, turned: list[bool]
) -> None:
    assert [fit.turned for fit in fields_for(width, height, [Field(130, 180)])] == turned


def test_fields_come_by_their_area() -> None:
    fields = (Field(300, 200), Field(130, 180), Field(100, 240), Field(240, 100))
    fits = fields_for(50, 50, fields)
    # 23,400 and twice 24,000 mm2, then 60,000.
    assert [fit.field.size_mm for fit in fits] == [(130, 180), (100, 240), (240, 100), (300, 200)]


def test_what_fits_no_field_is_told_none() -> None:
    assert fields_for(500, 500, USUAL) == ()
