"""The folder in which the files of a hooping plan are put."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from applique.files import leftovers_told
from applique.report import Finding


def leftovers_of(folder: Path, written: Iterable[str]) -> list[Finding]:
    """A warning if files of an earlier plan lie beside those just written: a hooping too many is
    easily sewn."""
    pattern = re.compile(r".+-(hooping-\d+\.[a-z0-9]+|pattern-.+\.pdf|hoopings\.png)")
    return leftovers_told(folder, written, pattern, "files of another plan")
