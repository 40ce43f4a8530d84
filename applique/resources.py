"""Files that travel with the package: samples and the editor's extensions.

In a checkout they stand at the top; in an installed wheel, inside the package.
"""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def samples_folder() -> Path:
    """The folder of the sample blocks."""
    return _folder("samples")


def extensions_folder() -> Path:
    """The folder of the editor's description files and the launcher."""
    return _folder("extensions")


def hoop_fields_text() -> str:
    """The table of usual hoop fields, as TOML."""
    return (_PACKAGE / "hoops" / "fields.toml").read_text(encoding="utf-8")


def _folder(name: str) -> Path:
    installed = _PACKAGE / "data" / name
    return installed if installed.is_dir() else _PACKAGE.parent / name
