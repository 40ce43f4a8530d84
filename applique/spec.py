"""What is known about one setting: its range, unit, default and help, and how its value is read."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, Literal

Scope = Literal["piece", "document", "element"]
"""Where a setting may be given: in the document for all pieces and for a piece; only in the
document; only for a single element."""


@dataclass(frozen=True)
class Spec:
    """What is known about one setting.

    `name` is what it is called in documents and on the command line, `field` in the code; `scope`
    tells where it may be given.
    """

    name: str
    field: str
    group: str
    help: str
    unit: str
    default: float | str | None
    low: float
    high: float
    choices: tuple[str, ...]
    whole: bool
    scope: Scope

    @property
    def automatic(self) -> bool:
        """Whether the default is worked out from the other settings and the piece's size."""
        return self.default is None

    def parse(self, value: float | str) -> float | str:
        """Read and check a value; raises ValueError saying what is allowed."""
        if self.choices:
            return self._checked_choice(str(value))
        try:
            number = float(value)
        except ValueError:
            raise ValueError(f"{self.name} must be a number, not '{value}'") from None
        if not math.isfinite(number) or not self.low <= number <= self.high:
            unit = f" {self.unit}" if self.unit else ""
            raise ValueError(
                f"{self.name} must lie between {self.low:g} and {self.high:g}{unit}, not {value}"
            )
        if self.whole and number != int(number):
            raise ValueError(f"{self.name} must be a whole number, not {value}")
        return int(number) if self.whole else number

    def _checked_choice(self, text: str) -> str:
        if text not in self.choices:
            raise ValueError(f"{self.name} must be one of {', '.join(self.choices)}, not '{text}'")
        return text


def length(
    default: float | None,
    low: float,
    high: float,
    group: str,
    help: str,
    scope: Scope = "piece",
) -> Any:
    """A field of a settings class that holds a length in mm; automatic if `default` is None."""
    return _setting(default, group, help, unit="mm", low=low, high=high, scope=scope)


def angle(default: float, low: float, high: float, group: str, help: str) -> Any:
    """A field that holds an angle in degrees."""
    return _setting(default, group, help, unit="degrees", low=low, high=high)


def count(default: int, low: int, high: int, group: str, help: str) -> Any:
    """A field that holds a whole number, set for the document."""
    return _setting(default, group, help, low=low, high=high, whole=True, scope="document")


def choice(
    default: str, choices: tuple[str, ...], group: str, help: str, scope: Scope = "piece"
) -> Any:
    """A field that holds one of a few words."""
    return _setting(default, group, help, choices=choices, scope=scope)


def _setting(
    default: float | str | None,
    group: str,
    help: str,
    *,
    unit: str = "",
    low: float = -math.inf,
    high: float = math.inf,
    choices: tuple[str, ...] = (),
    whole: bool = False,
    scope: Scope = "piece",
) -> Any:
    known = {
        "group": group,
        "help": help,
        "unit": unit,
        "default": default,
        "low": low,
        "high": high,
        "choices": choices,
        "whole": whole,
        "scope": scope,
    }
    return field(metadata=known)
