"""The shopping list of a quilt, in groups of things to buy, and as plain text."""

from __future__ import annotations

import math
from dataclasses import dataclass

from applique.cutting.needed import FabricNeeded, yards
from applique.quilt.requirements import Requirement
from applique.quilt.totals import BOBBIN_M, WASTE_SHARE, FabricTotal, QuiltTotals, ThreadTotal
from applique.quilt.words import mm_words
from applique.report import counted
from applique.threads.numbering import grams_of
from applique.threads.spool import USUAL_SPOOL_M
from applique.units import compact

UNCHOSEN = "a fabric yet to be chosen"

_FABRIC_NOTE = (
    "Each length holds everything that is cut of a fabric, one after the other. Nothing is added "
    "for shrinking: buy more of what you wash first."
)


@dataclass(frozen=True)
class ShoppingItem:
    """One thing to buy: what and how much, what for (a line each), and its colour, #rrggbb or
    ""."""

    what: str
    amount: str
    uses: tuple[str, ...] = ()
    colour: str = ""


@dataclass(frozen=True)
class ShoppingGroup:
    """Things bought at one counter, with a word on how they were reckoned."""

    title: str
    items: tuple[ShoppingItem, ...]
    note: str = ""


def shopping_groups(totals: QuiltTotals) -> tuple[ShoppingGroup, ...]:
    """Everything to buy, in groups, empty ones left out."""
    cost = "" if totals.cost is None else f" What has a price costs {totals.cost:.2f} in all."
    groups = (
        ShoppingGroup("Fabric", tuple(map(_fabric, totals.fabrics)), _FABRIC_NOTE + cost),
        ShoppingGroup(
            "Under the top",
            tuple(
                ShoppingItem(it.needed.fabric, _amount(it.needed), (_use(it),))
                for it in totals.linings
            ),
        ),
        ShoppingGroup("Thread", _threads(totals), _thread_note(totals)),
    )
    return tuple(group for group in groups if group.items)


def shopping_text(totals: QuiltTotals) -> str:
    """The list as plain text, a box before each thing."""
    lines = [f"{totals.name}: shopping list"]
    for group in shopping_groups(totals):
        lines += ["", group.title, "-" * len(group.title)]
        for item in group.items:
            lines.append(f"[ ] {item.what}: {item.amount}")
            lines += [f"      {use}" for use in item.uses]
        lines += [group.note] if group.note else []
    if totals.missing:
        lines += ["", missing_words(totals)]
    return "\n".join(lines) + "\n"


def missing_words(totals: QuiltTotals) -> str:
    """That blocks are in no figure, "" if all are."""
    if not totals.missing:
        return ""
    return f"Not reckoned with, because they are not built: {', '.join(totals.missing)}."


def _fabric(total: FabricTotal) -> ShoppingItem:
    needed = total.needed
    amount = _amount(needed)
    if total.cost is not None:
        amount += f", costs {total.cost:.2f}"
    only = total.uses[0].needed.fat_quarters if len(total.uses) == 1 else None
    if only is not None:
        amount += f"; or {counted(only, 'fat quarter', 'fat quarters')}"
    uses = tuple(map(_use, total.uses))
    return ShoppingItem(total.fabric or UNCHOSEN, amount, uses, total.colour)


def _use(requirement: Requirement) -> str:
    """What a length is for, unless its name says so, and how it is cut."""
    if requirement.purpose == requirement.needed.fabric:
        return requirement.how
    return f"{requirement.purpose}: {requirement.how}"


def _amount(needed: FabricNeeded) -> str:
    width = mm_words(needed.usable_width_mm)
    return f"{yards(needed.yard_eighths)} or {needed.metre_tenths / 10:.1f} m, {width} wide"


def _threads(totals: QuiltTotals) -> tuple[ShoppingItem, ...]:
    spools = [
        ShoppingItem(_thread_name(it), _spools(it), (), it.colour)
        for it in totals.threads
        if it.spools
    ]
    if not totals.bobbins:
        return tuple(spools)
    bobbin = ShoppingItem(
        "bobbin thread",
        f"{_metres(totals.bobbin_m)}, {counted(totals.bobbins, 'bobbin', 'bobbins')}",
    )
    return (*spools, bobbin)


def _thread_name(total: ThreadTotal) -> str:
    return f"{total.name or total.colour}, {total.weight} wt"


def _spools(total: ThreadTotal) -> str:
    spools = counted(total.spools, "spool", "spools")
    length = "" if total.spool_m == USUAL_SPOOL_M else f" of {compact(total.spool_m)} m"
    return f"{_metres(total.needle_m)} ({_grams(total)} g), {spools}{length}"


def _grams(total: ThreadTotal) -> str:
    """What to have on a spool that was begun, the waste reckoned in: it can be weighed."""
    return f"{math.ceil(grams_of(total.needle_m * (1 + WASTE_SHARE), total.weight)):,}"


def _metres(length_m: float) -> str:
    return f"{max(1, round(length_m)):,} m"


def _thread_note(totals: QuiltTotals) -> str:
    if not totals.threads:
        return ""
    return (
        f"Metres are as sewn; grams (to weigh a spool that was begun), spools and bobbins are "
        f"{100 * WASTE_SHARE:.0f} % more, for what is "
        f"wasted in threading and by breaks. A bobbin is taken to hold {compact(BOBBIN_M)} m, a "
        f"spool {USUAL_SPOOL_M:,.0f} m where nothing else is said."
    )
