"""`applique editor`: the extensions put where the editor looks for them."""

from __future__ import annotations

import argparse
from typing import Any

from applique.cli.commands import add_command
from applique.cli.say import say


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "editor",
        description="Install, remove or look at the extensions in Inkscape. They appear under "
        "Extensions > Appliqué after the editor is started anew.",
    )
    parser.add_argument("action", choices=("install", "remove", "status"))
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Do what was asked."""
    return {"install": _install, "remove": _remove, "status": _status}[arguments.action]()


def _install() -> int:
    from applique.editor.install import install

    say(f"installed in {install()}; start Inkscape anew to see Extensions > Appliqué")
    return 0


def _remove() -> int:
    from applique.editor.install import remove

    folder, was_there = remove()
    say(f"removed from {folder}" if was_there else f"nothing was installed in {folder}")
    return 0


def _status() -> int:
    from applique.editor.install import status

    found = status()
    if not found.current and not found.stale:
        say(f"not installed; they would go to {found.folder}")
        return 1
    if found.stale or found.missing or found.outdated:
        names = ", ".join(found.stale + found.missing + found.outdated)
        say(f"{found.folder}: not up to date ({names}); run 'applique editor install' again")
        return 1
    say(f"{found.folder}: installed and up to date")
    return 0
