"""A program that answers as the editor does, for what only needs its answers."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

needs_scripts = pytest.mark.skipif(os.name == "nt", reason="the stand-in is a Unix script")


def write_stand_in(
    path: Path, user_data: Path, version: str = "1.4.2", system_data: Path = Path("gone")
) -> Path:
    """Write the program; it warns first, as the editor likes to."""
    answers = {
        "--user-data-directory": str(user_data),
        "--system-data-directory": str(system_data),
        "--version": f"Inkscape {version} (0123456789, 2025-05-12)",
    }
    path.parent.mkdir(parents=True, exist_ok=True)
    code = f"import sys\nprint('a warning')\nprint({answers!r}[sys.argv[1]])\n"
    path.write_text(f"#!{sys.executable} -IS\n{code}", encoding="utf-8")
    path.chmod(0o755)
    return path
