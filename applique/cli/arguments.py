"""Flags made from the settings table, and how values on the command line are read."""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable
from pathlib import Path

from applique.papers import paper_size
from applique.settings import SPECS, parse_values
from applique.spec import Spec
from applique.units import size_mm

AreaMm = tuple[float, float, float, float]
"""Left, top, width and height."""


def add_setting_flags(parser: argparse.ArgumentParser) -> None:
    """One flag a setting, grouped as in docs/settings.md, and `--set NAME=VALUE` for any."""
    groups: dict[str, argparse._ArgumentGroup] = {}
    for spec in SPECS.values():
        if spec.group not in groups:
            groups[spec.group] = parser.add_argument_group(f"settings: {spec.group.lower()}")
        groups[spec.group].add_argument(
            f"--{spec.name}",
            dest="assignments",
            metavar="|".join(spec.choices) if spec.choices else spec.unit.upper() or "N",
            action="append",
            default=[],
            type=_reader(spec),
            help=spec.help.replace("%", "%%"),
        )
    parser.add_argument(
        "--set",
        dest="assignments",
        metavar="NAME=VALUE",
        action="append",
        default=[],
        type=assignment,
        help="any setting by its name, as often as needed",
    )


def settings_from(arguments: argparse.Namespace) -> dict[str, float | str]:
    """The settings given on the command line, by name; of two words for one, the last holds."""
    return dict(arguments.assignments)


def assignment(text: str) -> tuple[str, float | str]:
    """Read `NAME=VALUE`."""
    name, equals, value = text.partition("=")
    if not equals:
        raise argparse.ArgumentTypeError(
            f"'{text}' is not of the form NAME=VALUE; as in edge=blanket"
        )
    try:
        return name, parse_values({name: value})[name]
    except ValueError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from None


def ids(text: str) -> tuple[str, ...]:
    """Read `ID,ID`."""
    found = tuple(part.strip() for part in text.split(",") if part.strip())
    if not found:
        raise argparse.ArgumentTypeError("it names no id; leave it out to take everything")
    return found


def size(text: str) -> tuple[float, float]:
    """Read `WIDTHxHEIGHT` in mm."""
    try:
        return size_mm(text)
    except ValueError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from None


def area(text: str) -> AreaMm:
    """Read `X,Y,WIDTH,HEIGHT` in mm."""
    try:
        x, y, width, height = (float(part) for part in text.split(","))
    except ValueError:
        said = f"'{text}' is not of the form X,Y,WIDTH,HEIGHT; as in 10,20,50,40"
        raise argparse.ArgumentTypeError(said) from None
    if not (all(map(math.isfinite, (x, y, width, height))) and min(width, height) > 0):
        said = "its width and height must be above 0 mm; as in 10,20,50,40"
        raise argparse.ArgumentTypeError(said)
    return x, y, width, height


def paper(text: str) -> tuple[float, float]:
    """Read a paper's name, or its size in mm."""
    try:
        return paper_size(text)
    except ValueError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from None


def millimetres(text: str) -> float:
    """Read a length of 0 mm or more."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and value >= 0):
        raise argparse.ArgumentTypeError(f"'{text}' is no length in mm; give a number of 0 or more")
    return value


def seconds(text: str) -> float:
    """Read a time above 0."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not value > 0:
        raise argparse.ArgumentTypeError(f"'{text}' is no time in seconds; give a number above 0")
    return value


def printable(text: str) -> str:
    """Read words that a document can hold."""
    if not text.isprintable():
        raise argparse.ArgumentTypeError(
            f"{text!r} holds a character that can't be written; leave it out"
        )
    return text


def stem_of(path: Path) -> str:
    """A file's name without its ending, as a document can hold it."""
    return "".join(sign if sign.isprintable() else "?" for sign in path.stem)


def add_input(parser: argparse.ArgumentParser, metavar: str) -> None:
    """The drawing a command works on."""
    parser.add_argument("input", metavar=metavar, type=Path, help="the block's drawing")


def add_output(parser: argparse.ArgumentParser, metavar: str, help: str) -> None:
    """Where a command puts its result."""
    parser.add_argument("-o", "--output", metavar=metavar, type=Path, required=True, help=help)


def _reader(spec: Spec) -> Callable[[str], tuple[str, float | str]]:
    def read(text: str) -> tuple[str, float | str]:
        try:
            return spec.name, spec.parse(text)
        except ValueError as problem:
            raise argparse.ArgumentTypeError(str(problem)) from None

    return read
