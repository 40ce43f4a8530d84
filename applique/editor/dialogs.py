"""The editor's dialogs as data. The settings' parameters are made from the settings table."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from applique.export.formats import FORMATS
from applique.settings import SPECS
from applique.spec import Spec
from applique.trace.papers import PAPERS_MM

ParameterKind = Literal["number", "whole", "text", "yes-no", "choice", "file"]

AS_SET = "as-set"
"""The choice that leaves a setting as the document or the piece has it."""

MENU = "Appliqué"


@dataclass(frozen=True)
class Parameter:
    """One entry of a dialog. `name` is spelled with underscores, as the editor wants it."""

    name: str
    kind: ParameterKind
    label: str
    help: str
    default: str
    low: float = 0.0
    high: float = 0.0
    choices: tuple[tuple[str, str], ...] = ()


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
    """The settings that a dialog's user has changed, by name."""
    given: dict[str, float | str] = {}
    for name, spec in SPECS.items():
        value = getattr(options, name.replace("-", "_"), None)
        if value is None or value == AS_SET:
            continue
        if not spec.choices and float(value) == _unset(spec):
            continue
        given[name] = spec.parse(value)
    return given


def _settings_pages() -> tuple[Page, ...]:
    groups: dict[str, list[Parameter]] = {}
    for spec in SPECS.values():
        groups.setdefault(spec.group, []).append(setting_parameter(spec))
    return tuple(Page(title, tuple(parameters)) for title, parameters in groups.items())


_REPLACE_EDITED = Parameter(
    "replace_edited",
    "yes-no",
    "Replace steps edited by hand",
    "Steps whose stitches were moved by hand are kept unless this is set.",
    "false",
)

_BLOCK_PAGE = Page(
    "Block",
    (
        Parameter(
            "finished_width",
            "number",
            "Finished width (mm)",
            "Width of the finished block, centred on the page. 0 leaves it as it is set.",
            "0",
            0,
            2000,
        ),
        Parameter(
            "finished_height",
            "number",
            "Finished height (mm)",
            "Height of the finished block. 0 leaves it as it is set.",
            "0",
            0,
            2000,
        ),
        _REPLACE_EDITED,
    ),
)

_FABRIC_PAGE = Page(
    "Fabric and edge",
    (
        Parameter("fabric", "text", "Fabric", "Name of the fabric. Empty leaves it as it is.", ""),
        Parameter(
            "thread",
            "text",
            "Thread colour",
            "Colour of the edge's thread as #rrggbb. Empty leaves it as it is.",
            "",
        ),
        *(setting_parameter(SPECS[name]) for name in ("method", "edge", "detail", "thread-weight")),
        *(
            setting_parameter(SPECS[name])
            for name in ("edge-width", "edge-outside", "edge-spacing", "edge-inset")
        ),
    ),
)

_SCAN_PAGE = Page(
    "Page",
    (
        Parameter(
            "file",
            "file",
            "File",
            "A scan or photo of the traced page. Not needed if a picture in the drawing is "
            "selected.",
            "",
        ),
        Parameter(
            "dpi",
            "number",
            "Resolution (dpi)",
            "Of a scan. 0 takes what the file says.",
            "0",
            0,
            2400,
        ),
        Parameter(
            "paper",
            "choice",
            "Paper",
            "The sheet that a photo shows, or that was scanned whole.",
            "",
            choices=(("", "not said"), *((name, name) for name in PAPERS_MM)),
        ),
        Parameter(
            "ink_edge",
            "choice",
            "Edge of the ink",
            "Which edge of the line is the outline: the one next to the template, the line's "
            "middle, or the far one, which makes every piece larger and rounds its points.",
            "near",
            choices=(("near", "near"), ("centre", "centre"), ("far", "far")),
        ),
    ),
)

_NUMBERS_PAGE = Page(
    "Numbers",
    (
        Parameter("first", "whole", "First number", "Of the first outline.", "1", 0, 99999),
        Parameter(
            "numbers",
            "text",
            "Numbers outright",
            "In reading order, with commas: A1,A2,B7. Empty counts on from the first number.",
            "",
        ),
        Parameter(
            "keep_marks",
            "yes-no",
            "Keep marks as lines",
            "Marks inside a shape, but for its number, become lines.",
            "false",
        ),
    ),
)

EFFECTS: Mapping[str, Dialog] = {
    dialog.key: dialog
    for dialog in (
        Dialog(
            "scan",
            "Pieces from Scan",
            "Make outlines at true size of the templates traced on a page, over its picture.",
            (_SCAN_PAGE, _NUMBERS_PAGE),
        ),
        Dialog(
            "layers",
            "Make Layers",
            "Make stitch and cut layers of the selected closed paths, or of all pieces.",
            (*_settings_pages(), _BLOCK_PAGE),
        ),
        Dialog(
            "refresh",
            "Refresh Layers",
            "Make the steps anew that no longer fit the drawing, and only those.",
            (Page("Refresh", (_REPLACE_EDITED,)),),
        ),
        Dialog(
            "tag",
            "Fabric and Edge",
            "Say of which fabric the selected pieces are and how their edges are finished.",
            (_FABRIC_PAGE,),
        ),
        Dialog("check", "Check Block", "Look the block over before it is sewn.", ()),
    )
}
"""The menu entries by key."""

OUTPUTS: Mapping[str, Dialog] = {
    f"save-{suffix}": Dialog(f"save-{suffix}", format.title, f"Save the stitches as {suffix}.", ())
    for suffix, format in FORMATS.items()
}
"""The output formats by key."""
