"""Which of the packages that ours asks for are there, read from their metadata: none is loaded."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

_REQUIREMENT = re.compile(r"([A-Za-z0-9_.-]+)\s*(?:(>=|==)\s*([0-9][^\s;,]*))?")


@dataclass(frozen=True)
class Dependency:
    """A package that ours asks for: which versions, which is there ("" for none), and whether ours
    does its work without it."""

    name: str
    wanted: str
    version: str
    optional: bool

    @property
    def is_met(self) -> bool:
        """Whether a version that will do is there."""
        return bool(self.version) and _fits(self.version, self.wanted)


def read_dependencies(
    requirements: Iterable[str], version_of: Callable[[str], str]
) -> list[Dependency]:
    """The requirements of a package's metadata, each with the version that `version_of` tells, ""
    for none. What is asked for on some systems only is optional."""
    found = []
    for requirement in requirements:
        part, _, marker = requirement.partition(";")
        match = _REQUIREMENT.match(part)
        if match is not None:
            name, sign, version = match[1], match[2] or "", match[3] or ""
            found.append(Dependency(name, sign + version, version_of(name), bool(marker.strip())))
    return found


def _fits(version: str, wanted: str) -> bool:
    if wanted.startswith("=="):
        return _numbers(version) == _numbers(wanted)
    return _numbers(version) >= _numbers(wanted)


def _numbers(version: str) -> tuple[int, ...]:
    """A version's numbers without zeros at their end: 6.0 is 6."""
    numbers = [int(number) for number in re.findall(r"\d+", version)]
    while numbers and numbers[-1] == 0:
        numbers.pop()
    return tuple(numbers)
