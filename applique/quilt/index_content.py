"""What stands on the quilt's index page. Files are told as links relative to the page."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from applique.quilt.facts import BlockFacts
from applique.quilt.top import QuiltTop
from applique.quilt.totals import QuiltTotals

_BEGINS_A_SCHEME = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:")


@dataclass(frozen=True)
class Link:
    """Words that lead to a file, `href` relative to the page. Raises ValueError for any other."""

    words: str
    href: str

    def __post_init__(self) -> None:
        check_relative(self.href)


@dataclass(frozen=True)
class PrintLink:
    """A picture of a fabric's print and the true size of what it shows, in mm."""

    href: str
    width_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        check_relative(self.href)


@dataclass(frozen=True)
class IndexBlock:
    """A block on the index: its picture ("" without), everything made of it, and what was noticed.
    `facts` are None where it is not built."""

    name: str
    copies: int
    week: int
    facts: BlockFacts | None
    picture: str = ""
    links: tuple[Link, ...] = ()
    told: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        check_relative(self.picture)


@dataclass(frozen=True)
class CutFabric:
    """The cut sheets of one fabric."""

    fabric: str
    links: tuple[Link, ...]


@dataclass(frozen=True)
class IndexContent:
    """The whole page. `top` is None where no rows are given; `colours` are #rrggbb by fabric,
    `prints` pictures of them; `binding` is its fabric, None without one; `links` lead to what
    belongs to the whole quilt, `told` is what was noticed about it."""

    totals: QuiltTotals
    top: QuiltTop | None
    blocks: tuple[IndexBlock, ...]
    colours: Mapping[str, str] = field(default_factory=dict)
    prints: Mapping[str, PrintLink] = field(default_factory=dict)
    binding: str | None = None
    cut: tuple[CutFabric, ...] = ()
    links: tuple[Link, ...] = ()
    told: tuple[str, ...] = ()


def check_relative(href: str) -> None:
    """Raise ValueError for a link that leads anywhere but to a file beside or below the page."""
    parts = href.split("/")
    if href.startswith("/") or "\\" in href or ".." in parts or _BEGINS_A_SCHEME.match(href):
        raise ValueError(f"'{href}' is no link to a file beside the page")
