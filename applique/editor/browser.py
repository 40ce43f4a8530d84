"""Opening a page in the user's browser."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

NO_BROWSER_VARIABLE = "UNDERLAP_NO_BROWSER"
"""Where it is set, as in tests, nothing is opened."""

_ASKED_S = 10.0
"""A browser that is asked to open something answers at once; one that runs within a terminal, which
the editor has not, never does."""

_OPENS = "import sys, webbrowser; sys.exit(not webbrowser.open(sys.argv[1]))"


def opened(path: Path) -> bool:
    """Open a file in the browser; returns whether one took it.

    In a process of its own, whose streams lead nowhere: a browser keeps the streams it was started
    with, and the editor waits for the end of ours.
    """
    if os.environ.get(NO_BROWSER_VARIABLE):
        return False
    try:
        asked = subprocess.run(
            [sys.executable, "-I", "-c", _OPENS, path.resolve().as_uri()],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=_ASKED_S,
            check=False,
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )
    except (OSError, subprocess.SubprocessError):
        return False
    return asked.returncode == 0
