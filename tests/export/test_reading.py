"""Machine files read back: equal to what was written, and nothing worse than a sentence for what
is damaged."""

import contextlib
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pyembroidery.EmbCompress import compress

from applique.errors import InputError, UsageError
from applique.export.formats import FORMATS
from applique.export.machine import machine_file
from applique.export.reading import (
    LARGEST_BYTES,
    MOST_PACKED_STITCHES,
    read_machine,
    readable_suffixes,
    reading_of_made,
)
from applique.model import Plan, Thread, ThreadBlock
from applique.pictures.colours import HOOPING_COLOURS
from applique.report import Finding
from tests.export.tape import decode
from tests.strategies import plans

BLUE, RED = Thread("#2f6f8f", "Sea"), Thread("#b2392f", "Brick")


def run(*points: tuple[float, float]) -> np.ndarray:
    return np.array(points, dtype=float)


FLAG = Plan(
    "Harbour",
    (100.0, 100.0),
    (
        ThreadBlock(BLUE, (run((101, 100), (104, 100), (104, 97)), run((90, 90), (92, 90)))),
        ThreadBlock(RED, (run((100, 100), (100, 103)),), "Lay sand."),
        ThreadBlock(BLUE, (run((110, 110), (112, 111), (114, 110)),)),
    ),
)


def in_steps(points: np.ndarray) -> np.ndarray:
    """Whole frame steps, halves away from zero; a step that leads nowhere left out. Points come on
    a grid of 0.01 mm."""
    hundredths = np.round(points * 100)
    steps = np.sign(hundredths) * ((np.abs(hundredths) + 5) // 10)
    return steps[np.concatenate([[True], np.any(np.diff(steps, axis=0) != 0, axis=1)])]


# What was written


@pytest.mark.parametrize("suffix", FORMATS)
@given(some=plans())
@settings(max_examples=15)
def test_every_format_reads_back_block_by_block_and_run_by_run(suffix: str, some: Plan) -> None:
    reading = read_machine(machine_file(some, suffix).data, suffix)
    assert len(reading.plan.blocks) == len(some.blocks)
    for found, wanted in zip(reading.plan.blocks, some.blocks, strict=True):
        assert len(found.runs) == len(wanted.runs)
        for one, other in zip(found.runs, wanted.runs, strict=True):
            assert np.array_equal(np.round(one * 10), in_steps(other))
    assert reading.plan.centre == (0, 0)
    assert [finding for finding in reading.findings if finding.severity != "note"] == []


@given(plans())
@settings(max_examples=20)
def test_a_reading_of_a_tape_agrees_with_the_independent_decoder(some: Plan) -> None:
    data = machine_file(some, "dst").data
    tape, plan = decode(data), read_machine(data, "dst").plan
    stitches = np.vstack([run for block in plan.blocks for run in block.runs])
    assert np.array_equal(np.round(stitches * 10), tape.stitches)
    lengths = [sum(map(len, block.runs)) for block in plan.blocks]
    assert np.cumsum(lengths)[:-1].tolist() == tape.stops


@pytest.mark.parametrize("suffix", FORMATS)
def test_colours_are_told_as_the_format_stores_them(suffix: str) -> None:
    reading = read_machine(machine_file(FLAG, suffix).data, suffix)
    threads = [block.thread for block in reading.plan.blocks]
    assert reading.colours == FORMATS[suffix].colours
    told = "made up" in " ".join(finding.message for finding in reading.findings)
    assert told == (reading.colours == "none")
    if reading.colours == "exact":
        assert [thread.colour for thread in threads] == [BLUE.colour, RED.colour, BLUE.colour]
    if reading.colours == "none":
        assert [thread.name for thread in threads] == ["colour 1", "colour 2", "colour 3"]
    assert len({thread.colour for thread in threads[:2]}) == 2


def test_the_format_the_name_and_the_jumps_are_told() -> None:
    tape = read_machine(machine_file(FLAG, "dst").data, ".DST")
    assert (tape.title, tape.design_name, tape.jumps) == ("DST stitch file", "Harbour", 4)
    assert read_machine(machine_file(FLAG, "vp3").data, "vp3").jumps is None


@pytest.mark.parametrize("suffix", ["dst", "pes", "exp"])
def test_there_is_one_move_before_every_run_and_none_at_the_end(suffix: str) -> None:
    """Of extents odd in sum too, for which one format needs a move at the end."""
    odd = Plan("Harbour", (0.0, 0.0), (ThreadBlock(BLUE, (run((1, 1), (1.3, 1.4)),)),))
    assert read_machine(machine_file(odd, suffix).data, suffix).jumps == 1


def test_a_tape_whose_head_lists_threads_has_their_colours() -> None:
    data = machine_file(FLAG, "dst").data
    end = data.index(b"\x1a") if b"\x1a" in data[:512] else data[:512].rstrip(b" ").__len__()
    lines = b"".join(b"TC:#%s,x,1\r" % name for name in (b"112233", b"445566", b"778899"))
    head = (data[:end] + lines).ljust(512, b" ")
    assert len(head) == 512
    reading = read_machine(head + data[512:], "dst")
    assert reading.colours == "exact"
    assert [block.thread.colour for block in reading.plan.blocks] == [
        "#112233",
        "#445566",
        "#778899",
    ]


def test_threads_that_a_file_lists_too_few_of_are_made_up() -> None:
    data = machine_file(FLAG, "dst").data
    end = data[:512].index(b"\x1a") if b"\x1a" in data[:512] else len(data[:512].rstrip(b" "))
    listed = b"".join(b"TC:#%s,x,1\r" % colour for colour in (b"112233", b"445566"))
    reading = read_machine((data[:end] + listed).ljust(512, b" ") + data[512:], "dst")
    threads = [block.thread for block in reading.plan.blocks]
    assert [thread.colour for thread in threads[:2]] == ["#112233", "#445566"]
    assert [thread.name for thread in threads] == ["", "", "colour 3"]
    (finding,) = reading.findings
    assert (finding.code, finding.severity) == ("colours", "warning")


def test_made_up_colours_begin_anew_where_there_are_no_more() -> None:
    some = len(HOOPING_COLOURS)
    blocks = [
        ThreadBlock(thread, (run((100, 100), (103, 100)),))
        for thread in (BLUE, RED) * ((some + 3) // 2)
    ]
    data = machine_file(Plan("Harbour", (100.0, 100.0), tuple(blocks)), "exp").data
    threads = [block.thread for block in read_machine(data, "exp").plan.blocks]
    assert len({thread.colour for thread in threads[:some]}) == some
    assert threads[some].colour == threads[0].colour
    assert [thread.name for thread in threads[some - 1 : some + 1]] == [
        f"colour {some}",
        f"colour {some + 1}",
    ]


@pytest.mark.parametrize(
    ("suffix", "carried"),
    [
        ("dst", "Abcdefghijklmnop"),
        ("pes", "Abcdefgh"),
        ("pec", "Abcdefgh"),
        ("exp", ""),
        ("jef", ""),
        ("xxx", ""),
    ],
)
def test_as_much_of_the_name_is_carried_as_the_format_holds(suffix: str, carried: str) -> None:
    named = replace(FLAG, name="Abcdefghijklmnopqrstuvw")
    assert read_machine(machine_file(named, suffix).data, suffix).design_name == carried


def test_a_name_is_told_without_what_can_not_be_shown() -> None:
    data = machine_file(FLAG, "dst").data.replace(b"Harbour", b"Har\x07our")
    assert read_machine(data, "dst").design_name == "Harour"


@pytest.mark.parametrize("suffix", FORMATS)
def test_a_file_just_made_is_told_as_if_it_were_read(suffix: str) -> None:
    made = machine_file(FLAG, suffix)
    told, read = reading_of_made(made, "Harbour", suffix), read_machine(made.data, suffix)
    assert (told.title, told.colours, told.jumps) == (read.title, read.colours, read.jumps)
    assert told.findings == read.findings
    assert told.design_name == told.plan.name == "Harbour"
    for one, other in zip(told.plan.blocks, read.plan.blocks, strict=True):
        assert one.thread == other.thread
        assert [line.tolist() for line in one.runs] == [line.tolist() for line in other.runs]


# Formats that are only read


def packed(count: int) -> bytes:
    """A HUS file by hand: stitch, stitch, colour change, stitch, end; packed without packing. The
    head says how many stitches there are."""
    commands, xs, ys = bytes([0x80, 0x80, 0x84, 0x80, 0x90]), bytes([0, 30, 0, 20, 0]), bytes(5)
    parts = [bytes(compress(bytearray(part))) for part in (commands, xs, ys)]
    begin = 42 + 2 * 2
    starts = [begin, begin + len(parts[0]), begin + len(parts[0]) + len(parts[1])]
    head = (0x00C8AF5B).to_bytes(4, "little") + count.to_bytes(4, "little")
    head += (2).to_bytes(4, "little") + bytes(8)
    head += b"".join(start.to_bytes(4, "little") for start in starts) + bytes(10)
    head += bytes([1, 0, 2, 0])
    return head.ljust(begin, b"\0") + b"".join(parts)


def test_a_format_that_we_never_write_is_read() -> None:
    reading = read_machine(packed(5), "hus")
    assert reading.title == "HUS stitch file"
    assert reading.colours == "palette"
    assert [block.runs[0].tolist() for block in reading.plan.blocks] == [
        [[0, 0], [3, 0]],
        [[5, 0]],
    ]


def test_a_packed_file_can_not_unpack_without_end() -> None:
    with pytest.raises(InputError, match="damaged"):
        read_machine(packed(MOST_PACKED_STITCHES + 1), "hus")


def test_a_packed_file_can_not_ask_for_a_table_of_codes_without_end() -> None:
    data = packed(5)
    begin = data.index(compress(bytearray(5))[:6])  # Where the third part tells its codes.
    with pytest.raises(InputError, match="damaged"):
        read_machine(data[:begin] + b"\xff" * 60, "hus")


def test_a_file_can_not_list_colours_without_end() -> None:
    with pytest.raises(InputError, match="damaged"):
        read_machine(b"2\0\xff\xff" + bytes(20), "pcd")


def test_a_needle_change_is_a_stop() -> None:
    """A U01 file by hand: needle 1, two stitches, needle 2, a stitch, end."""
    records = ((0xE9, 0, 0), (0x80, 0, 0), (0x80, 0, 30), (0xEA, 0, 0), (0x80, 10, 0), (0xF8, 0, 0))
    data = bytes(256) + b"".join(bytes(record) for record in records)
    blocks = read_machine(data, "u01").plan.blocks
    assert [sum(map(len, block.runs)) for block in blocks] == [2, 1]


def test_stops_with_nothing_sewn_between_them_are_one() -> None:
    """The same with a needle 3 that sews nothing before needle 2."""
    records = ((0xE9, 0, 0), (0x80, 0, 0), (0x80, 0, 30), (0xEB, 0, 0), (0xEA, 0, 0), (0x80, 10, 0))
    data = bytes(256) + b"".join(bytes(record) for record in (*records, (0xF8, 0, 0)))
    blocks = read_machine(data, "u01").plan.blocks
    assert [sum(map(len, block.runs)) for block in blocks] == [2, 1]
    assert [block.thread.name for block in blocks] == ["colour 1", "colour 3"]


def test_the_formats_that_can_be_read_begin_with_ours() -> None:
    assert readable_suffixes()[: len(FORMATS)] == tuple(FORMATS)
    assert {"hus", "sew", "pcs", "u01", "tbf", "z00", "spx"} <= set(readable_suffixes())
    assert not {"csv", "json", "svg", "png", "gcode", "txt", "col"} & set(readable_suffixes())


# What can't be read


@pytest.mark.parametrize(
    ("data", "suffix", "sentence"),
    [
        (b"", "dst", "is empty"),
        (b"\0" * (LARGEST_BYTES + 1), "exp", "million bytes, which no machine file does"),
        (b"\x89PNG\r\n" + bytes(600), "dst", "is a picture, a page or an archive"),
        (b"no machine file at all" * 9, "pes", "is no PES file, or is damaged"),
        (b"LA:empty".ljust(512) + b"\0\0\xf3", "dst", "holds no stitches"),
        (machine_file(FLAG, "pes").data, "jef", "is a PES file by its first letters"),
    ],
)
def test_what_is_no_machine_file_is_refused(data: bytes, suffix: str, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        read_machine(data, suffix)


def test_a_suffix_that_no_machine_file_has_is_refused_with_those_that_can_be_read() -> None:
    with pytest.raises(UsageError, match=r"no machine file ends in '\.gcode'.*dst, pes.*hus"):
        read_machine(b"G0", "gcode")


def test_what_reaches_further_than_any_fabric_is_damaged() -> None:
    """An EXP file by hand: stitches of 12.7 mm to the right; no drawing is larger than 10 m."""
    assert read_machine(bytes([127, 0]) * 787, "exp").plan.stitch_count == 787
    with pytest.raises(InputError, match="is no EXP file, or is damaged"):
        read_machine(bytes([127, 0]) * 788, "exp")


@pytest.mark.parametrize("suffix", ["dst", "pes", "pec", "vp3", "xxx"])
def test_a_file_without_its_end_is_told(suffix: str) -> None:
    """Cut off in its last block of stitches."""
    data = machine_file(FLAG, suffix).data
    codes = {
        finding.code
        for size in range(len(data) // 2, len(data), 5)
        for finding in _findings_of(data[:size], suffix)
    }
    assert "cut-off" in codes
    assert "cut-off" not in {finding.code for finding in _findings_of(data, suffix)}


def _findings_of(data: bytes, suffix: str) -> tuple[Finding, ...]:
    try:
        return read_machine(data, suffix).findings
    except InputError:
        return ()


SAMPLES = {suffix: machine_file(FLAG, suffix).data for suffix in FORMATS}
EVERYTHING = {**SAMPLES, "hus": packed(5)}


@pytest.mark.parametrize("suffix", FORMATS)
@given(share=st.floats(0, 1, exclude_max=True))
@example(share=0.9999)
@settings(max_examples=60)
def test_a_file_that_was_cut_off_is_refused_or_told_or_whole(suffix: str, share: float) -> None:
    whole = SAMPLES[suffix]
    try:
        reading = read_machine(whole[: int(share * len(whole))], suffix)
    except InputError:
        return
    told = any(finding.code == "cut-off" for finding in reading.findings)
    same = reading.plan.stitch_count == FLAG.stitch_count
    assert told or same or suffix == "exp"


@pytest.mark.parametrize("suffix", EVERYTHING)
@given(place=st.integers(0), bit=st.integers(0, 7))
@settings(max_examples=120)
def test_a_flipped_bit_is_refused_or_read(suffix: str, place: int, bit: int) -> None:
    data = bytearray(EVERYTHING[suffix])
    data[place % len(data)] ^= 1 << bit
    try:
        assert read_machine(bytes(data), suffix).plan.stitch_count > 0
    except InputError as refused:
        assert "copy it anew" in str(refused) or "rename" in str(refused)


@pytest.mark.parametrize("suffix", readable_suffixes())
@given(noise=st.binary(min_size=1, max_size=2000))
@settings(max_examples=10)
def test_noise_is_refused_or_read_in_any_format(suffix: str, noise: bytes) -> None:
    with contextlib.suppress(InputError):
        assert read_machine(noise, suffix).plan.stitch_count > 0


@pytest.mark.parametrize("suffix", FORMATS)
def test_a_file_of_another_format_is_refused_or_read(suffix: str) -> None:
    for other in EVERYTHING.values():
        with contextlib.suppress(InputError):
            assert read_machine(other, suffix).plan.stitch_count > 0
