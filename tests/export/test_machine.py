"""Machine files: equal to the plan in every format, and read by an independent decoder."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from applique.errors import OutputError
from applique.export import machine
from applique.export.formats import FORMATS, LONGEST_STITCH_UNITS
from applique.export.machine import ascii_name, machine_file
from applique.model import Plan, Thread, ThreadBlock
from tests.export.tape import Record, decode, decode_record
from tests.strategies import plans

BLUE, RED = Thread("#2f6f8f", "Sea"), Thread("#b2392f", "Brick")


def run(*points: tuple[float, float]) -> np.ndarray:
    return np.array(points, dtype=float)


def plan(*blocks: ThreadBlock, name: str = "Harbour") -> Plan:
    return Plan(name, (100.0, 100.0), blocks)


FLAG = plan(
    ThreadBlock(BLUE, (run((101, 100), (104, 100), (104, 97)), run((90, 90), (92, 90)))),
    ThreadBlock(BLUE, (run((100, 100), (100, 103)),), "Lay sand."),
    ThreadBlock(RED, (run((110, 110), (112, 111), (114, 110)),)),
)


# The published worked examples of the record (achatina.de, DST.HTM), and its range.


@pytest.mark.parametrize(
    ("record", "expected"),
    [
        ("A81223", Record(-12, 64, "stitch")),
        ("A812A3", Record(-12, 64, "jump")),
        ("0000C3", Record(0, 0, "stop")),
    ],
)
def test_the_decoder_reads_the_published_examples(record: str, expected: Record) -> None:
    assert decode_record(bytes.fromhex(record)) == expected


def test_the_longest_record_is_the_limit_we_keep() -> None:
    everything_right = bytes((0b00000101, 0b00000101, 0b00000111))
    assert decode_record(everything_right).dx == 1 + 3 + 9 + 27 + 81 == LONGEST_STITCH_UNITS


@given(plans())
@settings(max_examples=40)
def test_the_tape_says_what_the_plan_says(some: Plan) -> None:
    tape = decode(machine_file(some, "dst").data)
    runs = [_units(run) for block in some.blocks for run in block.runs]
    wanted = [tuple(point) for run in runs for point in _moved(run).astype(int).tolist()]
    assert tape.stitches == wanted
    lengths = [sum(len(_moved(_units(r))) for r in block.runs) for block in some.blocks]
    assert tape.stops == np.cumsum(lengths)[:-1].tolist()
    run_ends = np.cumsum([len(_moved(run)) for run in runs])[:-1].tolist()
    assert set(run_ends) <= {*tape.trims, *tape.stops}


def _units(run: np.ndarray) -> np.ndarray:
    """Whole steps of 0.1 mm; points come on a grid of 0.01 mm, so tenths of a step are exact."""
    tenths = np.round(run * 100)
    return np.sign(tenths) * ((np.abs(tenths) + 5) // 10)


def _moved(run: np.ndarray) -> np.ndarray:
    return run[np.concatenate([[True], np.any(np.diff(run, axis=0) != 0, axis=1)])]


def test_a_drawing_is_not_mirrored_on_the_tape() -> None:
    # Right and down of the centre in the drawing: x positive, and below.
    tape = decode(machine_file(FLAG, "dst").data)
    assert tape.stitches[:3] == [(10, 0), (40, 0), (40, -30)]


# All formats


@pytest.mark.parametrize("suffix", FORMATS)
@given(some=plans())
@settings(max_examples=15)
def test_any_plan_reads_back_equal(suffix: str, some: Plan) -> None:
    # machine_file compares stitches, stops, trims and colours itself and raises on a difference.
    assert machine_file(some, suffix).data


@pytest.mark.parametrize("suffix", FORMATS)
def test_the_same_plan_gives_the_same_bytes(suffix: str) -> None:
    assert machine_file(FLAG, suffix).data == machine_file(FLAG, suffix).data


@pytest.mark.parametrize("suffix", FORMATS)
def test_neighbours_of_one_thread_stop_all_the_same(suffix: str) -> None:
    made = machine_file(FLAG, suffix)
    assert made.thread_kept == (2,)


@pytest.mark.parametrize("suffix", FORMATS)
@pytest.mark.parametrize("name", ["Größe Ä", "名前", "", "a" * 600, "tab\tline\n"])
def test_names_of_any_kind_do_no_harm(suffix: str, name: str) -> None:
    assert machine_file(replace(FLAG, name=name), suffix).data


def test_names_are_cut_and_freed_of_accents() -> None:
    assert ascii_name("Möwe am Hafen", 8) == "Mowe am"
    assert ascii_name("海", 8) == ""


# Limits


@pytest.mark.parametrize("suffix", FORMATS)
def test_the_longest_stitch_on_both_axes_is_kept_whole(suffix: str) -> None:
    long = plan(ThreadBlock(BLUE, (run((100, 100), (112.1, 112.1), (100, 100)),)))
    assert machine_file(long, suffix).data


def test_a_longer_stitch_is_refused_with_its_place() -> None:
    long = plan(ThreadBlock(BLUE, (run((105, 102), (117.2, 102)),)))
    with pytest.raises(OutputError, match=r"begins 5\.0 mm right and 2\.0 mm below"):
        machine_file(long, "dst")


def many(count: int) -> Plan:
    threads = (BLUE, RED)
    return plan(
        *(ThreadBlock(threads[k % 2], (run((100, 100), (103, 100)),)) for k in range(count))
    )


@pytest.mark.parametrize("suffix", ["pes", "pec"])
def test_too_many_stops_for_a_format_are_refused_with_the_way_out(suffix: str) -> None:
    assert machine_file(many(255), suffix).data
    with pytest.raises(OutputError, match=r"at most 254 .* needs 255; .* --order fewest"):
        machine_file(many(256), suffix)


@pytest.mark.parametrize("suffix", ["dst", "exp", "jef", "vp3", "xxx"])
def test_other_formats_hold_as_many_as_there_are(suffix: str) -> None:
    assert machine_file(many(600), suffix).data


def test_an_empty_plan_is_refused() -> None:
    with pytest.raises(OutputError, match="no stitches"):
        machine_file(plan(), "dst")


def test_halves_are_rounded_away_from_zero() -> None:
    halves = plan(ThreadBlock(BLUE, (run((100.05, 100.15), (99.95, 99.85), (100.25, 100)),)))
    assert decode(machine_file(halves, "dst").data).stitches == [(1, 2), (-1, -2), (3, 0)]


def test_stitches_that_vanish_in_the_rounding_are_left_out() -> None:
    tiny = plan(ThreadBlock(BLUE, (run((100, 100), (100.02, 100), (103, 100)),)))
    assert decode(machine_file(tiny, "dst").data).stitches == [(0, 0), (30, 0)]


# The comparison itself: each kind of difference must be noticed.


@pytest.mark.parametrize(
    ("damage", "named"),
    [
        (lambda units: (units[0][1:], *units[1:]), "stitches"),
        (lambda units: ((units[0][0] + 1, *units[0][1:]), *units[1:]), "stitches"),
        (lambda units: ((*units[0], *units[1]), *units[2:]), "pauses"),
        (lambda units: ((np.vstack(units[0]),), *units[1:]), "trims"),
    ],
)
def test_a_file_that_differs_is_an_error(monkeypatch, damage, named: str) -> None:
    written = machine._written

    def damaged(units, colours, name, format):
        return written(machine._Units(damage(units.blocks)), colours, name, format)

    monkeypatch.setattr(machine, "_written", damaged)
    with pytest.raises(OutputError, match=f"does not read back as it was planned.*{named}"):
        machine_file(FLAG, "dst")


@pytest.mark.parametrize("suffix", ["pes", "vp3", "xxx", "jef", "pec"])
def test_a_wrong_colour_is_an_error(monkeypatch, suffix: str) -> None:
    written = machine._written

    def damaged(units, colours, name, format):
        return written(units, [colours[2], colours[1], colours[0]], name, format)

    monkeypatch.setattr(machine, "_written", damaged)
    with pytest.raises(OutputError, match="colours"):
        machine_file(FLAG, suffix)
