"""Messages to the person at the editor, all through this one place.

The editor shows whatever a script writes to standard error in a dialog. Where nobody is there to
close it, the variable UNDERLAP_MESSAGES names a file that takes the messages instead.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from pathlib import Path

from applique.report import Finding, ordered

MESSAGES_VARIABLE = "UNDERLAP_MESSAGES"
MOST_LINES = 30
"""More would make a dialog taller than a screen."""


def notify(lines: Iterable[str]) -> None:
    """Show some lines; nothing is shown for none."""
    shown = list(lines)
    if len(shown) > MOST_LINES:
        more = len(shown) - MOST_LINES
        shown = [
            *shown[:MOST_LINES],
            f"... and {more} more; 'applique check' on the command line shows all",
        ]
    if not shown:
        return
    text = "\n".join(shown) + "\n"
    target = os.environ.get(MESSAGES_VARIABLE)
    if target:
        with Path(target).open("a", encoding="utf-8") as stream:
            stream.write(text)
    else:
        sys.stderr.write(text)


def finding_lines(findings: Iterable[Finding], *, notes: bool = False) -> list[str]:
    """Findings as lines for a dialog, the worst first; notes only where they were asked for."""
    return [
        finding.sentence() for finding in ordered(findings) if notes or finding.severity != "note"
    ]
