"""Machine files read back: equal to what was written, and nothing worse than a sentence for what
is damaged."""

import contextlib

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
)
from applique.model import Plan, Thread, ThreadBlock
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


def test_a_needle_change_is_a_stop() -> None:
    """A U01 file by hand: needle 1, two stitches, needle 2, a stitch, end."""
    records = ((0xE9, 0, 0), (0x80, 0, 0), (0x80, 0, 30), (0xEA, 0, 0), (0x80, 10, 0), (0xF8, 0, 0))
    data = bytes(256) + b"".join(bytes(record) for record in records)
    blocks = read_machine(data, "u01").plan.blocks
    assert [sum(map(len, block.runs)) for block in blocks] == [2, 1]


def test_the_formats_that_can_be_read_begin_with_ours() -> None:
    assert readable_suffixes()[: len(FORMATS)] == tuple(FORMATS)
    assert {"hus", "sew", "pcs", "u01", "tbf", "z00", "spx"} <= set(readable_suffixes())
    assert not {"csv", "json", "svg", "png", "gcode", "txt", "col"} & set(readable_suffixes())


# What can't be read


@pytest.mark.parametrize(
    ("data", "suffix", "sentence"),
    [
        (b"", "dst", "is empty"),
        (b"\0" * (LARGEST_BYTES + 1), "exp", "no machine file is so large"),
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
