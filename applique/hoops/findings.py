"""What deserves a word in a hooping plan."""

from __future__ import annotations

from collections.abc import Sequence

from applique.hoops.parts import Parts
from applique.hoops.plan import Cross, Hooping, HoopingPlan
from applique.report import Finding, note, warning
from applique.sequence.centre import way_told


def of_parts(parts: Parts, plan: HoopingPlan) -> list[Finding]:
    """What is said of pieces that are sewn in stretches or on the sewing machine."""
    told = [_told_of_stretches(label, parts, plan) for label in _in_stretches(parts)]
    for label in parts.shortened:
        text = (
            "a part of its placement line lies beyond the field and is left out; lay it by the "
            "rest of the line and by its printed template"
        )
        told.append(note("placement", label, text))
    for label, number in plan.by_machine:
        when = f"after hooping {number}" if number else "before the first hooping"
        lined = [it.number for it in plan.hoopings if label in _lines_in(it)]
        by = f"what of its placement line hooping {lined[0]} sews" if lined else "the templates"
        text = f"its edge is sewn on the sewing machine {when}: lay it by {by}; it has a pattern"
        told.append(note("sewing-machine", label, text))
    return told


def _lines_in(hooping: Hooping) -> set[str]:
    """The pieces whose placement lines a hooping sews."""
    return {step.piece for step in hooping.steps if step.kind == "placement"}


def _in_stretches(parts: Parts) -> list[str]:
    return list(dict.fromkeys(part.label for part in parts.parts if part.count > 1))


def _told_of_stretches(label: str, parts: Parts, plan: HoopingPlan) -> Finding:
    """In which hoopings a piece is sewn, and where its stretches meet: a warning if some joins can
    be neither hidden nor straight."""
    numbers = ", ".join(str(it.number) for it in plan.hoopings if label in it.labels)
    joins = [join for name, join in parts.joins if name == label]
    near = "; ".join(f"{x:.0f}, {y:.0f}" for x, y in (join.place for join in joins))
    text = f"is larger than every field; its stretches are sewn in hoopings {numbers}"
    if joins:
        text += f" and meet near {near} mm"
    if all(join.hidden or join.straight for join in joins):
        return note("stretches", label, text)
    return warning("stretches", label, f"{text}, where the edge bends; look at the join")


def of_crosses(plan: HoopingPlan) -> list[Finding]:
    """What is said of crosses that have to be drawn."""
    drawn = [cross for cross in plan.crosses if cross.making == "pen"]
    told = []
    for number in sorted({number for cross in drawn for number in cross.used_in}):
        own = [cross for cross in drawn if number in cross.used_in]
        names = " and ".join(f"{cross.name} ({_from_middle(cross, plan)})" for cross in own)
        text = (
            f"shared crosses would leave it too far off; {_when(own)}, draw {names}, "
            "through its printed template or measured, with a pen that washes out"
        )
        told.append(warning("drawn-cross", f"hooping {number}", text))
    return told


def _when(crosses: Sequence[Cross]) -> str:
    """When crosses are drawn by hand."""
    if crosses[0].made_in == 0:
        return "before the first hooping"
    return "just before it is hooped, on what lies there by then"


def _from_middle(cross: Cross, plan: HoopingPlan) -> str:
    """Where a cross lies, seen from the middle of the block."""
    right, down = (
        value - middle for value, middle in zip(cross.place, plan.block_centre, strict=True)
    )
    return f"{way_told(right, down)} the block's middle"
