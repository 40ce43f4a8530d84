"""The spool that looks most like a colour."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from applique.threads.difference import difference
from applique.threads.spool import Spool

_REMEMBERED = 4096


def nearest_spool(colour: str, spools: Sequence[Spool]) -> Spool:
    """The spool whose colour differs least from #rrggbb by CIEDE2000, the first of equals. Raises
    ValueError where there are no spools."""
    return _nearest(colour, tuple(spools))


@lru_cache(maxsize=_REMEMBERED)
def _nearest(colour: str, spools: tuple[Spool, ...]) -> Spool:
    if not spools:
        raise ValueError("there are no threads to choose from")
    return min(spools, key=lambda spool: difference(colour, spool.colour))
