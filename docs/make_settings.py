"""Writes docs/settings.md from the settings table: `python docs/make_settings.py`."""

from __future__ import annotations

from pathlib import Path

from applique.settings import SPECS
from applique.spec import Spec

PAGE = Path(__file__).with_name("settings.md")

_HEAD = """# Settings

Generated from `applique/table.py` by `python docs/make_settings.py`. Every setting can be given
for the document (`<ap:defaults edge-width="3"/>` in its metadata), for a piece
(`ap:edge-width="3"`) and on the command line (`--edge-width 3`, or `--set edge-width=3`); the
nearest, in that order, wins. Those marked *block* hold for the block as a whole, those marked
*element* only for the element that they are given to. *Automatic* defaults follow from the method,
the edge, the thread and the size of the piece; see [How a block is sewn](sewing.md).
"""


_MARKS = {"document": " (block)", "element": " (element)"}


def settings_page() -> str:
    """The whole page."""
    groups: dict[str, list[Spec]] = {}
    for spec in SPECS.values():
        groups.setdefault(spec.group, []).append(spec)
    parts = [_HEAD]
    for group, specs in groups.items():
        parts.append(
            f"\n## {group}\n\n| setting | default | allowed | what it does |\n|---|---|---|---|\n"
        )
        parts.extend(_row(spec) for spec in specs)
    return "".join(parts)


def _row(spec: Spec) -> str:
    default = "automatic" if spec.default is None else _with_unit(spec.default, spec)
    allowed = ", ".join(spec.choices)
    if not spec.choices:
        allowed = f"{spec.low:g} to {_with_unit(spec.high, spec)}"
    name = f"`{spec.name}`" + _MARKS.get(spec.scope, "")
    return f"| {name} | {default} | {allowed} | {spec.help} |\n"


def _with_unit(value: float | str, spec: Spec) -> str:
    text = value if isinstance(value, str) else f"{value:g}"
    return f"{text} {spec.unit}".strip()


if __name__ == "__main__":
    PAGE.write_text(settings_page(), encoding="utf-8")
