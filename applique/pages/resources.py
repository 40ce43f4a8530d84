"""The style sheets and scripts that stand as files beside this one."""

from __future__ import annotations

from importlib.resources import files


def style_text(name: str) -> str:
    """A style sheet."""
    return _text(f"{name}.css")


def script_text(name: str) -> str:
    """A script."""
    return _text(f"{name}.js")


def _text(name: str) -> str:
    return (files("applique.pages") / "assets" / name).read_text(encoding="utf-8")
