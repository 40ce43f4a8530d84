"""Writes applique/quilt/quilt.schema.json anew: `python docs/make_schema.py`."""

from __future__ import annotations

from pathlib import Path

from applique.export.formats import FORMATS
from applique.quilt.schema import schema_text

FILE = Path(__file__).resolve().parent.parent / "applique" / "quilt" / "quilt.schema.json"

if __name__ == "__main__":
    FILE.write_text(schema_text(tuple(FORMATS)), encoding="utf-8")
