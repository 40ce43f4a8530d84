"""Facts and projects for the tests, made in one line."""

from __future__ import annotations

from typing import Any

from applique.cutting.request import CutRequest
from applique.model import Fabric
from applique.quilt.facts import BlockFacts, ThreadLength
from applique.quilt.project import (
    Assembly,
    BlockEntry,
    FabricStock,
    Guidance,
    Handwork,
    Machine,
    Project,
)
from applique.threads.spool import Spool

INCH = 25.4
RED = ThreadLength("brick red", "#b2392f", 50.0, 30.0)


def facts(name: str = "Gull", **changed: Any) -> BlockFacts:
    """A block of 10 in."""
    known: dict[str, Any] = {
        "finished_mm": (254.0, 254.0),
        "seam_allowance_mm": 6.35,
        "pieces": 20,
        "stitches": 10_000,
        "stops": 25,
        "trims": 60,
        "thread_changes": 8,
        "hoopings": ((210.0, 310.0),),
        "machine_minutes": 30.0,
        "hand_minutes": 45.0,
        "threads": (RED,),
        "background": "noon sky",
        "background_mm": (292.1, 292.1),
    }
    return BlockFacts(name, **(known | changed))


def entry(name: str = "Gull", copies: int = 1, week: int = 0) -> BlockEntry:
    """A block of the project."""
    return BlockEntry(name, f"{name}.svg", is_layout=False, copies=copies, week=week)


def project(
    *blocks: BlockEntry,
    assembly: Assembly | None = None,
    stocks: tuple[FabricStock, ...] = (FabricStock(Fabric("noon sky", "#bcd9e8")),),
    spools: tuple[Spool, ...] = (),
) -> Project:
    """A project with usual settings."""
    return Project(
        name="Harbour quilt",
        fabrics={stock.fabric.name: stock for stock in stocks},
        spools=spools,
        thread_file="",
        machine=Machine(),
        hooping=None,
        cutting=CutRequest(),
        most_nesting_s=0.0,
        paper_mm=(210.0, 297.0),
        handwork=Handwork(),
        guidance=Guidance(),
        assembly=assembly or Assembly(),
        defaults={},
        blocks=blocks,
    )
