"""Artwork brought to blocks in one line, and what the tests look at."""

from __future__ import annotations

from typing import Any

from lxml import etree

from applique.artwork.bring import Imported, ImportRequest, import_artwork
from applique.artwork.parts import Choices
from applique.artwork.place import Wanted
from applique.files import svg_bytes
from applique.svg import vocabulary as v
from tests.artwork.motifs import HARBOUR, artwork


def brought(content: str = HARBOUR, width: float = 200.0, **more: Any) -> Imported:
    return import_artwork(artwork(content), ImportRequest(Wanted(width), "Harbour", **more))


def choosing(content: str, width: float = 200.0, **choices: Any) -> Imported:
    return brought(content, width, choices=Choices(**choices))


def reread(imported: Imported) -> Any:
    return etree.fromstring(svg_bytes(imported.tree))


def codes(imported: Imported) -> list[str]:
    return [finding.code for finding in imported.findings]


def told(imported: Imported, code: str) -> str:
    return " ".join(found.sentence() for found in imported.findings if found.code == code)


def pieces(imported: Imported) -> list[Any]:
    return list(reread(imported).iter(v.svg("path")))
