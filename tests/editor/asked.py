"""A block to try the dialogs on, and their values as the editor passes them."""

from __future__ import annotations

import argparse

from applique.editor.dialogs import EFFECTS
from applique.svg import vocabulary as v

BLOCK = (
    f'<svg xmlns="{v.SVG}" xmlns:ap="{v.AP}" width="100mm" height="100mm" viewBox="0 0 100 100">'
    '<rect ap:fabric="sea blue" fill="#2f6f8f" x="10" y="50" width="60" height="30"/>'
    '<circle ap:fabric="sun yellow" fill="#f2b632" cx="60" cy="40" r="20"/></svg>'
)
"""Two pieces, without layers."""


def asked(effect: str, **changed: object) -> argparse.Namespace:
    """A dialog's values: all of them, as text."""
    usual = {parameter.name: parameter.default for parameter in EFFECTS[effect].parameters()}
    assert changed.keys() <= usual.keys()
    return argparse.Namespace(**(usual | {name: str(value) for name, value in changed.items()}))
