"""The editor's menu entries in sentences of the core, as the commands that do the same."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

COMMAND_OF: Mapping[str, str] = MappingProxyType(
    {
        "Pieces from Scan": "'applique trace'",
        "Place from Library": "'applique compose'",
        "Make Layers": "'applique layers'",
        "Refresh Layers": "'applique refresh'",
        "Fabric and Edge": "Fabric and Edge in Inkscape",
        "Hooping Plan": "'applique hoop'",
        "Cut Sheets": "'applique cut'",
        "Run Sheet": "'applique run-sheet'",
        "Stitch-out Page": "'applique stitch-out'",
        "Check Block": "'applique check'",
    }
)
"""What a person at the command line uses in place of each menu entry."""

_ACTION = re.compile(rf"\b(use|or|with|which) ({'|'.join(COMMAND_OF)})\b")
"""A menu entry as our sentences name it; a piece or a fabric may be called the same."""


def on_the_command_line(sentence: str) -> str:
    """A sentence whose remedy names commands: "use Make Layers first" becomes "use 'applique
    layers' first"."""
    return _ACTION.sub(lambda match: f"{match[1]} {COMMAND_OF[match[2]]}", sentence)
