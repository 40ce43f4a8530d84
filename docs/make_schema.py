"""Writes applique/quilt/quilt.schema.json anew: `python docs/make_schema.py`."""

from __future__ import annotations

import json
from pathlib import Path

from applique.export.formats import FORMATS
from applique.quilt.schema import schema

FILE = Path(__file__).resolve().parent.parent / "applique" / "quilt" / "quilt.schema.json"


def schema_text() -> str:
    """The whole file."""
    return json.dumps(schema(tuple(FORMATS)), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    FILE.write_text(schema_text(), encoding="utf-8")
