"""What a dialog is made of; entries for settings are made from the settings table."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from typing import Literal

from applique.errors import UsageError
from applique.settings import SPECS
from applique.spec import Spec

ParameterKind = Literal["number", "whole", "text", "yes-no", "choice", "file", "new-file", "folder"]

AS_SET = "as-set"
"""The choice that leaves a setting as the document or the piece has it."""


@dataclass(frozen=True)
class Parameter:
    """One entry of a dialog. `name` is spelled with underscores, as the editor wants it; `suffixes`
    are those of the files that can be chosen."""

    name: str
    kind: ParameterKind
    label: str
    help: str
    default: str
    low: float = 0.0
    high: float = 0.0
    choices: tuple[tuple[str, str], ...] = ()
    suffixes: tuple[str, ...] = ()

    @property
    def plain_label(self) -> str:
        """The label without its unit, as a sentence names it."""
        return self.label.partition(" (")[0]


@dataclass(frozen=True)
class Page:
    """A tab of a dialog."""

    title: str
    parameters: tuple[Parameter, ...]


@dataclass(frozen=True)
class Dialog:
    """An entry of the editor's menu. `key` names the effect that it starts."""

    key: str
    title: str
    tip: str
    pages: tuple[Page, ...]

    def parameters(self) -> tuple[Parameter, ...]:
        """All parameters, page by page."""
        return tuple(parameter for page in self.pages for parameter in page.parameters)


def setting_parameter(spec: Spec) -> Parameter:
    """A setting as a dialog entry with a value that means: as it is set."""
    name = spec.name.replace("-", "_")
    label = spec.name.replace("-", " ").capitalize()
    if spec.choices:
        choices = ((AS_SET, "as set"), *((choice, choice) for choice in spec.choices))
        return Parameter(name, "choice", label, spec.help, AS_SET, choices=choices)
    unset = _unset(spec)
    unit = f" ({spec.unit})" if spec.unit else ""
    text = f"{spec.help} {unset:g} leaves it as it is set."
    kind: ParameterKind = "number" if spec.unit else "whole"
    return Parameter(name, kind, label + unit, text, f"{unset:g}", unset, spec.high)


def _unset(spec: Spec) -> float:
    """The value outside a setting's range that stands for: as it is set."""
    return 0.0 if spec.low > 0 else -1.0


def settings_from(options: argparse.Namespace) -> dict[str, float | str]:
    """The settings that a dialog's user has changed, by name; raises UsageError for a value out of
    its range. The editor lets one be typed that lies between it and what stands for: as it is."""
    given: dict[str, float | str] = {}
    for name, spec in SPECS.items():
        value = getattr(options, name.replace("-", "_"), None)
        if value is None or value == AS_SET:
            continue
        if not spec.choices and float(value) == _unset(spec):
            continue
        try:
            given[name] = spec.parse(value)
        except ValueError as problem:
            label = setting_parameter(spec).plain_label
            raise UsageError(f"{problem}; change '{label}'") from None
    return given
