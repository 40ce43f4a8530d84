"""How much fabric and fusible web to buy for what is cut."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from applique.cutsheets.result import Told
from applique.cutting.lots import Lot
from applique.cutting.needed import WEB, FabricNeeded
from applique.cutting.record import digest_of, needed_as_record, needed_from_record
from applique.cutting.request import CutRequest
from applique.errors import InputError
from applique.nesting.buying import needed_of
from applique.nesting.sheets import Progress

FUSED = "outline"
"""The kind of cut line of a piece that is cut to its outline, and fused."""


@dataclass(frozen=True)
class Bought:
    """What to buy for a lot: its fabric, and web for what is fused; `digest` tells what for,
    `problems` why there is no web."""

    fabric: FabricNeeded
    web: FabricNeeded | None
    digest: str
    problems: tuple[InputError, ...] = ()

    def as_record(self) -> dict[str, object]:
        """What is kept for the next time."""
        return {
            "digest": self.digest,
            "fabric": needed_as_record(self.fabric),
            "web": None if self.web is None else needed_as_record(self.web),
        }


def bought_for(
    lot: Lot, request: CutRequest, seconds: float, kept: object, told: Told
) -> Bought | None:
    """How much of a lot's fabric to buy, and of web for those of its pieces that are cut to their
    outline and fused; patches and turned pieces are not. What was `kept` is used where it is of the
    same pieces. None if there is no time left.

    Raises InputError naming a piece that is wider than the fabric.
    """

    def may_go_on() -> bool:
        return told(Progress(0, 0, "how much to buy"))

    task = lot.task((), request.gap_mm, 0.0)
    digest = f"{digest_of(task)} {request.usable_width_mm:g} {request.web_width_mm:g}"
    before = _read(kept, digest, any(piece.kind == FUSED for piece in lot.pieces))
    if before is not None:
        return before
    if not may_go_on():
        return None
    if all(piece.kind == FUSED for piece in lot.pieces):
        try:
            widths = (request.usable_width_mm, request.web_width_mm)
            needed = needed_of(lot.name, task, *widths, seconds, may_go_on)
            return Bought(needed.fabric, needed.web, digest)
        except InputError:  # The fabric may be wide enough still.
            pass
    fabric = needed_of(lot.name, task, request.usable_width_mm, None, seconds / 2, may_go_on).fabric
    try:
        return Bought(fabric, _web_for(lot, request, seconds / 2, may_go_on), digest)
    except InputError as problem:
        return Bought(fabric, None, digest, (problem,))


def _web_for(
    lot: Lot, request: CutRequest, seconds: float, may_go_on: Callable[[], bool]
) -> FabricNeeded | None:
    """The web for the fused pieces of a lot, if there are any."""
    fused = replace(lot, pieces=tuple(it for it in lot.pieces if it.kind == FUSED))
    if not fused.pieces:
        return None
    task = fused.task((), request.gap_mm, 0.0)
    name = f"fusible web for {lot.name}"
    return needed_of(name, task, request.web_width_mm, None, seconds, may_go_on).fabric


def web_for_all(bought: Sequence[Bought], request: CutRequest) -> list[FabricNeeded]:
    """The web for all fabrics together: each has its own length of it, because pieces are fused by
    fabric."""
    webs = [each.web for each in bought if each.web is not None]
    if not webs:
        return []
    return [
        FabricNeeded(
            fabric=WEB,
            pieces=sum(web.pieces for web in webs),
            area_mm2=sum(web.area_mm2 for web in webs),
            usable_width_mm=request.web_width_mm,
            length_mm=sum(web.length_mm for web in webs),
        )
    ]


def _read(kept: object, digest: str, has_web: bool) -> Bought | None:
    """What was kept, if it is whole and of the same pieces."""
    if not isinstance(kept, dict) or kept.get("digest") != digest:
        return None
    fabric, web = (needed_from_record(kept.get(part)) for part in ("fabric", "web"))
    if fabric is None or (web is None) == has_web:
        return None
    return Bought(fabric, web, digest)
