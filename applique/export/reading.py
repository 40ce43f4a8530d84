"""Any machine file read back: what it will sew, stop by stop.

The files come from anywhere, so nothing in them is trusted: the library that reads them gets a
stream that ends its work after so many reads, and whatever it raises becomes one sentence.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pyembroidery as pe

from applique.errors import InputError, UsageError
from applique.export.commands import Commands, colours_of, commands_of, pattern_of, readers
from applique.export.formats import FORMATS, UNITS_PER_MM, Colours, Format
from applique.export.machine import MachineFile
from applique.model import Plan, Thread, ThreadBlock
from applique.pictures.colours import HOOPING_COLOURS, hexadecimal
from applique.report import Finding, note, warning
from applique.units import FURTHEST_MM

LARGEST_BYTES = 1_500_000
"""Half a million stitches in any format, and a few seconds to read; machines hold a few hundred
thousand (from memory)."""

MOST_PACKED_STITCHES = 500_000
"""A packed file says itself how many stitches to unpack, and a damaged one says anything."""

_OTHER_COLOURS: dict[str, Colours] = {
    **dict.fromkeys(("hus", "sew", "shv", "phb", "phc", "pcm"), "palette"),
    **dict.fromkeys(("pcd", "pcq", "pcs", "tbf", "zhs"), "exact"),
}
"""What the formats that we read and don't write store of colours; the others store none."""

_MOST_READS_PAST_END = 1_000
"""A damaged file says of itself that it holds tens of thousands of colours, and its reader goes on
for each of them where there is nothing left; what is only cut off ends a reader long before."""

_ENDLESS = frozenset({"exp"})
"""Formats of ours without a mark at the end: whether such a file was cut off can't be told."""

_ENDS = {"jef": b"\x80\x10"}
"""End marks behind which the library looks for more."""

_FIRST_BYTES = {b"#PES": "pes", b"#PEC": "pec", b"%vsm%": "vp3"}
_FOREIGN = (b"\x89PNG", b"%PDF", b"PK\x03\x04", b"<?xml", b"<svg", b"GIF8", b"\xff\xd8\xff")


@dataclass(frozen=True, eq=False)
class Reading:
    """What a machine file holds.

    `plan` has its origin at (0, 0), mm, x right and y down; its blocks end at the stops, its runs
    at the trims. `title` names the format. `colours` tells how the format stores them: where it is
    "none", the threads of the plan are made up, as different from one another as may be. `jumps` is
    how often the needle moves on without a stitch, None where the format does not say.
    """

    plan: Plan
    title: str
    colours: Colours
    design_name: str
    jumps: int | None
    findings: tuple[Finding, ...]


def readable_suffixes() -> tuple[str, ...]:
    """The suffixes of the files that can be read: those we write first."""
    return (*FORMATS, *(suffix for suffix in readers() if suffix not in FORMATS))


def read_machine(data: bytes, suffix: str) -> Reading:
    """What a machine file with a suffix (without its dot) holds.

    Raises UsageError if no machine file has this suffix, InputError if the bytes are none of its
    format, are damaged, hold no stitch, or are more than any machine reads.
    """
    suffix = suffix.lower().lstrip(".")
    if suffix not in readers():
        known = ", ".join(readable_suffixes())
        raise UsageError(f"no machine file ends in '.{suffix}'; those that can be read are {known}")
    format = FORMATS.get(suffix) or _other(suffix)
    _check_begin(data, suffix)
    stream = _Rationed(data)
    try:
        pattern = pattern_of(stream, suffix, format.read_settings)
        commands = commands_of(pattern)
        listed = [hexadecimal(colour) for colour in colours_of(pattern)]
    except Exception:  # The library raises anything on damaged files; the user is told one thing.
        raise _damaged(suffix) from None
    _check_stitches(commands, suffix)
    told = _cut_off(suffix, stream.ran_out, data)
    return _reading(commands, listed, _name_in(pattern), format, told)


def reading_of_made(made: MachineFile, name: str, suffix: str) -> Reading:
    """What a file that was just made holds, as it was read back when it was checked. `name` is the
    design's."""
    listed = [hexadecimal(colour) for colour in made.colours]
    return _reading(made.commands, listed, name, FORMATS[suffix], ())


def _reading(
    commands: Commands, listed: list[str], name: str, format: Format, told: tuple[Finding, ...]
) -> Reading:
    stored = _stored(format, listed)
    colours = [] if stored == "none" else listed
    missing = 1 + int(commands.new_thread.sum()) - len(colours)
    return Reading(
        plan=Plan(name, (0.0, 0.0), _blocks(commands, colours)),
        title=format.title,
        colours=stored,
        design_name=name,
        jumps=None if format.suffix == "vp3" else commands.jumps,
        findings=(*told, *_colours_told(stored, missing)),
    )


class _Rationed(io.BytesIO):
    """A file that can be read about twice over, and some times past its end, and then refuses; it
    remembers whether more was asked of it than it holds."""

    def __init__(self, data: bytes) -> None:
        super().__init__(data)
        self.ran_out = False
        self._reads = 2 * len(data) + 200_000
        self._bytes = 2 * len(data) + 1_000_000
        self._reads_past_end = _MOST_READS_PAST_END

    def read(self, size: int | None = -1, /) -> bytes:
        found = super().read(size)
        self._reads -= 1
        self._bytes -= len(found)
        self._reads_past_end -= not found and size != 0
        if min(self._reads, self._bytes, self._reads_past_end) < 0:
            raise EOFError("the file leads its reader in circles")
        if size is not None and len(found) < size:
            self.ran_out = True
        return found


def _other(suffix: str) -> Format:
    """A format that is only read."""
    return Format(suffix, f"{suffix.upper()} stitch file", _OTHER_COLOURS.get(suffix, "none"), 0)


def _damaged(suffix: str) -> InputError:
    return InputError(
        f"is no {suffix.upper()} file, or is damaged; copy it anew, or give it its right suffix"
    )


def _check_begin(data: bytes, suffix: str) -> None:
    """Raise InputError for what can be seen to be no file of the format before it is read."""
    if not data:
        raise InputError("is empty; copy it anew")
    if len(data) > LARGEST_BYTES:
        raise InputError(
            f"holds more than {LARGEST_BYTES / 1e6:g} million bytes, which no machine file does; "
            "name another"
        )
    if data.startswith(_FOREIGN):
        raise InputError("is a picture, a page or an archive, not a machine file; name another")
    found = next((known for begin, known in _FIRST_BYTES.items() if data.startswith(begin)), None)
    if found is not None and found != suffix and {found, suffix} != {"pes", "pec"}:
        raise InputError(f"is a {found.upper()} file by its first letters; rename it to .{found}")
    if found is None and suffix in _FIRST_BYTES.values():
        raise _damaged(suffix)
    if suffix == "hus" and int.from_bytes(data[4:8], "little") > MOST_PACKED_STITCHES:
        raise _damaged(suffix)


def _check_stitches(commands: Commands, suffix: str) -> None:
    if not len(commands.stitches):
        raise InputError("holds no stitches; copy it anew, or give it its right suffix")
    if not np.abs(commands.stitches).max() <= FURTHEST_MM * UNITS_PER_MM:
        raise _damaged(suffix)


def _stored(format: Format, listed: list[str]) -> Colours:
    """How the colours that a file lists are to be taken. Some programs list them in the head of a
    tape file, though its stops know none."""
    return "exact" if format.suffix == "dst" and listed else format.colours


def _cut_off(suffix: str, ran_out: bool, data: bytes) -> tuple[Finding, ...]:
    is_whole = suffix in _ENDS and data.endswith(_ENDS[suffix])
    if not ran_out or is_whole or suffix not in FORMATS or suffix in _ENDLESS:
        return ()
    text = "the file ends before its end mark; it may have been cut off, so copy it anew"
    return (warning("cut-off", "", text),)


def _colours_told(stored: Colours, missing: int) -> tuple[Finding, ...]:
    if stored == "none":
        return (note("colours", "", "the file stores no colours; those shown here are made up"),)
    if missing > 0:
        text = "the file lists fewer colours than it changes; those at its end are made up"
        return (warning("colours", "", text),)
    return ()


def _name_in(pattern: pe.EmbPattern) -> str:
    """The design's name, without what can't be shown."""
    metadata = pattern.extras
    name = metadata.get("name") or metadata.get("Name") or ""
    return "".join(letter for letter in str(name) if letter.isprintable()).strip()


def _blocks(commands: Commands, colours: list[str]) -> tuple[ThreadBlock, ...]:
    """The stitches parted at stops and trims; stops with nothing sewn between them are one."""
    count = len(commands.stitches)
    points = np.round(commands.stitches / UNITS_PER_MM, 3)
    numbers = np.concatenate([[0], np.cumsum(commands.new_thread)])
    bounds = [0, *commands.stops.tolist(), count]
    blocks = []
    for number, (begin, end) in zip(numbers.tolist(), pairwise(bounds), strict=True):
        if begin == end:
            continue
        inside = (commands.trims > begin) & (commands.trims < end)
        runs = np.split(points[begin:end], commands.trims[inside] - begin)
        blocks.append(ThreadBlock(_thread(number, colours), tuple(runs)))
    return tuple(blocks)


def _thread(number: int, colours: list[str]) -> Thread:
    """The thread of a number from 0; a made-up one bears its number as its name."""
    if number < len(colours):
        return Thread(colours[number])
    made_up = HOOPING_COLOURS[number % len(HOOPING_COLOURS)]
    return Thread(hexadecimal(made_up), f"colour {number + 1}")
