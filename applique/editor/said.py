"""Flags in sentences of the core, as the fields of the dialogs that ask the same."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from applique.editor.dialogs import EFFECTS
from applique.editor.parameters import Page, Parameter
from applique.settings import SPECS

COMMAND_WITH: Mapping[str, str] = MappingProxyType(
    {
        "baste": "hoop",
        "box": "hoop",
        "dpi": "trace",
        "fix": "hoop",
        "force": "library add",
        "ink-edge": "trace",
        "jobs": "quilt",
        "known-size": "trace",
        "merge-colours": "import",
        "mixed": "cut",
        "newest": "compose",
        "paper": "trace",
        "recognise": "library add",
        "replace-edited": "refresh",
        "strokes": "import",
        "turn": "cut",
    }
)
"""The command of each flag that stands in a sentence and that not every dialog asks for."""

_FLAG = re.compile(r"(?<![\w-])--([a-z][a-z-]*)(?: ([a-z][a-z-]*))?")
"""A flag, and the word behind it, which may be one of its values."""


def in_the_editor(sentence: str, dialog: str = "") -> str:
    """A sentence whose remedy names what the person at the editor sees.

    `dialog` is the key of the dialog that was filled in, whose fields go before others. A flag
    that no dialog asks for is named with its command.
    """
    return _FLAG.sub(lambda match: _seen(match, dialog), sentence)


def _seen(match: re.Match[str], dialog: str) -> str:
    """What is seen in place of a flag; a word that is no flag of ours stays as it is."""
    flag, word = match[1], match[2] or ""
    behind = f" {word}" if word else ""
    field = _field_in(dialog, flag)
    where = "" if field is None else f"on the page {field[0].title}"
    if field is None and flag in SPECS:
        field = _field_in("layers", flag)
        where = "" if field is None else f"on the page {field[0].title} of Make Layers"
    if field is not None:
        label = field[1].plain_label
        choice = dict(field[1].choices).get(word) if word else None
        return f"'{label}' {where}{behind}" if choice is None else f"'{label}: {choice}' {where}"
    if flag in COMMAND_WITH:
        return f"'applique {COMMAND_WITH[flag]} --{flag}' on the command line{behind}"
    return match[0]


def _field_in(dialog: str, flag: str) -> tuple[Page, Parameter] | None:
    """The field of a dialog that asks what a flag does, and its page."""
    name = flag.replace("-", "_")
    pages = EFFECTS[dialog].pages if dialog in EFFECTS else ()
    fields = ((page, parameter) for page in pages for parameter in page.parameters)
    return next((field for field in fields if field[1].name == name), None)
