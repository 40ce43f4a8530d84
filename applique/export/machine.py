"""A plan as a machine file: written in memory, read back, compared, and only then handed out."""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import pyembroidery as pe

from applique.errors import OutputError
from applique.export.commands import Commands, colours_of, commands_of, pattern_of
from applique.export.formats import (
    FORMATS,
    LONGEST_STITCH_UNITS,
    UNITS_PER_MM,
    Format,
)
from applique.export.threads import Rgb, block_colours, with_thread_kept
from applique.model import Plan


@dataclass(frozen=True)
class MachineFile:
    """The bytes of a machine file, how many penetrations they hold, and the numbers (from 1) of the
    blocks at whose start the machine stops although the thread stays. `commands` and `colours` are
    what the bytes said when they were read back."""

    data: bytes
    stitch_count: int
    thread_kept: tuple[int, ...]
    commands: Commands = field(compare=False, repr=False)
    colours: tuple[Rgb, ...] = field(compare=False, repr=False)


@dataclass(frozen=True, eq=False)
class _Units:
    """A plan in whole frame steps, x right and y down from the centre: for each block its runs."""

    blocks: tuple[tuple[np.ndarray, ...], ...]

    def stitches(self) -> np.ndarray:
        """All penetrations (n, 2)."""
        return np.vstack([run for block in self.blocks for run in block])

    def pauses(self) -> np.ndarray:
        """How many penetrations come before each stop."""
        lengths = [sum(len(run) for run in block) for block in self.blocks]
        return np.cumsum(lengths)[:-1]

    def trims(self) -> np.ndarray:
        """How many penetrations come before each trim, but for one at the very end."""
        lengths = [len(run) for block in self.blocks for run in block]
        return np.cumsum(lengths)[:-1]


def machine_file(plan: Plan, suffix: str) -> MachineFile:
    """The plan in the format with a suffix.

    Raises OutputError if the format can't hold the plan, or if the file, read back, differs from
    it in a stitch, a pause, a trim or a colour.
    """
    format = FORMATS[suffix]
    _check_limits(plan, format)
    units = _Units(
        tuple(tuple(in_units(run, plan.centre) for run in block.runs) for block in plan.blocks)
    )
    _check_lengths(units)
    colours = block_colours(plan.blocks, format, palette_of(format))
    data = _written(units, colours, plan.name, format)
    commands, listed = _verified(data, units, colours, format)
    kept = with_thread_kept(plan.blocks)
    return MachineFile(data, len(units.stitches()), kept, commands, listed)


def as_filed(plan: Plan) -> Plan:
    """The plan as its file holds it: in mm from its origin, in whole steps of the frame."""
    blocks = tuple(
        replace(block, runs=tuple(in_units(run, plan.centre) / UNITS_PER_MM for run in block.runs))
        for block in plan.blocks
    )
    return Plan(plan.name, (0.0, 0.0), blocks)


def ascii_name(name: str, length: int) -> str:
    """As much of a name as a format can carry: plain ASCII, accents dropped, cut to length."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return "".join(letter for letter in plain if letter.isprintable())[:length].strip()


def _check_limits(plan: Plan, format: Format) -> None:
    if not plan.blocks:
        raise OutputError("there are no stitches; use Make Layers first")
    changes = len(plan.blocks) - 1
    if format.most_changes is not None and changes > format.most_changes:
        raise OutputError(
            f"{format.suffix} files hold at most {format.most_changes} colour changes and pauses, "
            f"but this block needs {changes}; make its layers with --order fewest"
        )


def in_units(run: np.ndarray, centre: tuple[float, float]) -> np.ndarray:
    """A run in whole frame steps from the centre, halves rounded away from zero; a stitch that
    vanishes in the rounding is left out."""
    steps = (run - np.array(centre)) * UNITS_PER_MM
    # Coordinates come from files with three decimals: a half is a half to a millionth.
    steps = np.round(steps, 6)
    units = (np.sign(steps) * np.floor(np.abs(steps) + 0.5)).astype(np.int64)
    moved = np.any(np.diff(units, axis=0) != 0, axis=1)
    return units[np.concatenate([[True], moved])]


def _check_lengths(units: _Units) -> None:
    for block in units.blocks:
        for run in block:
            steps = np.abs(np.diff(run, axis=0)).max(axis=1, initial=0)
            if len(steps) and steps.max() > LONGEST_STITCH_UNITS:
                x, y = run[int(np.argmax(steps))] / UNITS_PER_MM
                raise OutputError(
                    f"a stitch of more than {LONGEST_STITCH_UNITS / UNITS_PER_MM} mm begins "
                    f"{x:.1f} mm right and {y:.1f} mm below the block's centre; "
                    "put a node into it, or refresh its step"
                )


def palette_of(format: Format) -> list[Rgb]:
    """The colours of a format that has only so many; none of any other."""
    if format.colours != "palette":
        return []
    module = {"pec": pe.EmbThreadPec, "jef": pe.EmbThreadJef}[format.suffix]
    threads = [thread for thread in module.get_thread_set() if thread is not None]
    return [(thread.get_red(), thread.get_green(), thread.get_blue()) for thread in threads]


# Writing


def _written(units: _Units, colours: Sequence[Rgb], name: str, format: Format) -> bytes:
    pattern = pe.EmbPattern()
    pattern.stitches = _commands(units, format)
    for colour in colours:
        red, green, blue = colour
        thread = pe.EmbThread()
        thread.set_color(red, green, blue)
        thread.description = f"{red:02x}{green:02x}{blue:02x}"
        pattern.add_thread(thread)
    carried = ascii_name(name, format.name_length)
    if carried:
        pattern.metadata("name", carried)
    stream = io.BytesIO()
    writer = getattr(pe, f"write_{format.suffix}")
    writer(pattern, stream, dict(format.write_settings))
    return stream.getvalue()


def _commands(units: _Units, format: Format) -> list[list[int]]:
    """The plan as library commands: STITCH..., TRIM, COLOR_CHANGE, JUMP, STITCH..., END."""
    commands: list[list[int]] = []
    for block in units.blocks:
        for position, run in enumerate(block):
            if commands:
                x, y = commands[-1][:2]
                commands.append([x, y, pe.TRIM])
                if position == 0:
                    commands.append([x, y, pe.COLOR_CHANGE])
            first = run[0].tolist()
            commands.append([*first, pe.JUMP])
            column = np.full((len(run), 1), pe.STITCH)
            commands.extend(np.hstack([run, column]).tolist())
    if format.needs_parity:
        commands.extend(_parity_jump(units))
    commands.append([*commands[-1][:2], pe.END])
    return commands


def _parity_jump(units: _Units) -> list[list[int]]:
    """A last jump that makes the extents' sums even: else the format shifts everything by half a
    step."""
    stitches = units.stitches()
    low, high = stitches.min(axis=0), stitches.max(axis=0)
    odd = (low + high) % 2
    if not odd.any():
        return []
    x, y = stitches[-1]
    target = np.where(odd == 1, high + 1, stitches[-1])
    return [[int(x), int(y), pe.TRIM], [int(target[0]), int(target[1]), pe.JUMP]]


# Reading back


def _verified(
    data: bytes, units: _Units, colours: Sequence[Rgb], format: Format
) -> tuple[Commands, tuple[Rgb, ...]]:
    """What the file says, read back; raises OutputError where that is anything else than the
    plan."""
    pattern = pattern_of(io.BytesIO(data), format.suffix, format.read_settings)
    found, listed = commands_of(pattern), tuple(colours_of(pattern))
    if not len(found.stitches):
        raise OutputError(f"the {format.suffix} file reads back empty; nothing was written")
    checks = {
        "stitches": np.array_equal(found.stitches, units.stitches()),
        "pauses": np.array_equal(found.stops, units.pauses()),
        "trims": np.array_equal(found.trims, units.trims()),
        "colours": format.colours == "none" or listed == tuple(colours),
    }
    wrong = [what for what, same in checks.items() if not same]
    if wrong:
        raise OutputError(
            f"the {format.suffix} file does not read back as it was planned "
            f"({', '.join(wrong)} differ); nothing was written"
        )
    return found, listed
