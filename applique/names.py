"""Names for files, made of what the user called things."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

_LONGEST = 60
"""Letters of a name; file systems take 255 with what comes after."""

_KEPT_BY_SYSTEMS = {"con", "prn", "aux", "nul"} | {
    f"{port}{number}" for port in ("com", "lpt") for number in range(10)
}
"""Names that mean devices on Windows, whatever comes after their dot."""


def plain_names(texts: Iterable[str], otherwise: str) -> list[str]:
    """A safe name for a file for each text, no two alike: plain small letters, digits and hyphens,
    `otherwise` where a text has none of these, and after a name that a system keeps for itself."""
    names: list[str] = []
    for text in texts:
        plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
        base = re.sub(r"[^a-z0-9]+", "-", plain)[:_LONGEST].strip("-") or otherwise
        base = f"{base}-{otherwise}" if base in _KEPT_BY_SYSTEMS else base
        name, number = base, 1
        while name in names:
            number += 1
            name = f"{base}-{number}"
        names.append(name)
    return names
