"""What must be bought beside the pieces: backgrounds, sashing, borders, binding, what lies under.

Each requirement is one purpose from one fabric, by the rules of `yardage`.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from applique.cutting.needed import FabricNeeded
from applique.quilt.facts import BlockFacts, SizeMm
from applique.quilt.project import Assembly, Lining, Project, Strip
from applique.quilt.top import QuiltTop, TopPart
from applique.quilt.words import mm_words, size_words
from applique.quilt.yardage import (
    BACKING_SEAM_MM,
    binding_length_mm,
    binding_strips,
    fitting_across,
    hooped_length_mm,
    length_in_rows,
    panels_for,
    strips_for,
)
from applique.report import Finding, counted, warning
from applique.units import compact


@dataclass(frozen=True)
class Requirement:
    """What is cut for one purpose (`background`, `border 1`), how, and what that takes."""

    purpose: str
    how: str
    needed: FabricNeeded


@dataclass(frozen=True)
class Reckoned:
    """Requirements, and warnings about what could not be reckoned."""

    requirements: tuple[Requirement, ...]
    findings: tuple[Finding, ...]


Maker = tuple[str, Callable[[], Requirement]]
"""A purpose, and what reckons it; raises ValueError where its fabric is too narrow."""


def usable_width_mm(project: Project, fabric: str) -> float:
    """How wide a fabric can be cut: its own width if it is told, else the usual one."""
    stock = project.fabrics.get(fabric)
    if stock is None or stock.usable_width_mm is None:
        return project.cutting.usable_width_mm
    return stock.usable_width_mm


def from_fabrics(
    project: Project, facts: Mapping[str, BlockFacts], top: QuiltTop | None
) -> Reckoned:
    """Everything of the top but the blocks' own pieces, and the binding."""
    makers = _backgrounds(project, facts)
    if top is None:
        return _reckoned(makers)
    allowance = 2 * project.assembly.seam_allowance_mm
    plain = Counter(_cut_size(part, allowance) for part in top.of_kind("empty"))
    if plain:
        makers.append(("plain square", partial(_rectangles, project, "", "plain square", plain)))
    for purpose, parts in (
        ("sashing", top.of_kind("sashing")),
        ("cornerstones", top.of_kind("cornerstone")),
    ):
        by_fabric: dict[str, Counter[SizeMm]] = {}
        for part in parts:
            sizes = by_fabric.setdefault(part.name, Counter())
            sizes[_strip_size(part, allowance)] += 1
        for name, sizes in by_fabric.items():
            makers.append((purpose, partial(_strips, project, name, purpose, sizes)))
    borders = top.of_kind("border")
    for number, k in enumerate(range(0, len(borders), 4), start=1):
        purpose = f"border {number}"
        makers.append((purpose, partial(_border, project, purpose, borders[k : k + 4], allowance)))
    binding = project.assembly.binding
    if binding is not None:
        makers.append(("binding", partial(_binding, project, binding, top, allowance)))
    return _reckoned(makers)


def from_rolls(
    assembly: Assembly,
    facts: Iterable[tuple[BlockFacts, int]],
    top: QuiltTop | None,
) -> Reckoned:
    """Backing, batting and stabiliser, as far as the user wants them reckoned. `facts` come with
    the copies of their blocks."""
    makers: list[Maker] = []
    for lining, purpose, seam_mm in (
        (assembly.backing, "backing", BACKING_SEAM_MM),
        (assembly.batting, "batting", 0.0),
    ):
        if top is not None and lining is not None:
            makers.append((purpose, partial(_lining, lining, purpose, assembly, top, seam_mm)))
    if assembly.stabiliser_mm is not None:
        hooped = [size for each, copies in facts for size in each.hoopings * copies]
        if hooped:
            makers.append(("stabiliser", partial(_stabiliser, assembly.stabiliser_mm, hooped)))
    return _reckoned(makers)


def _reckoned(makers: Iterable[Maker]) -> Reckoned:
    """What can be reckoned, and a warning for what can't."""
    found, findings = [], []
    for purpose, make in makers:
        try:
            found.append(make())
        except ValueError as problem:
            text = f"can't be reckoned, because {problem}; give a wider fabric or roll for it"
            findings.append(warning("narrow", purpose, text))
    return Reckoned(tuple(found), tuple(findings))


def _backgrounds(project: Project, facts: Mapping[str, BlockFacts]) -> list[Maker]:
    by_fabric: dict[str, Counter[SizeMm]] = {}
    for block in project.blocks:
        if block.name in facts:
            each = facts[block.name]
            sizes = by_fabric.setdefault(each.background, Counter())
            sizes[each.background_mm] += block.copies
    return [
        ("background", partial(_rectangles, project, fabric, "background", sizes))
        for fabric, sizes in by_fabric.items()
    ]


def _cut_size(part: TopPart, allowance_mm: float) -> SizeMm:
    """Width and height as cut, to the thousandth, so that equal parts count as equal."""
    return round(part.width_mm + allowance_mm, 3), round(part.height_mm + allowance_mm, 3)


def _strip_size(part: TopPart, allowance_mm: float) -> SizeMm:
    """Width and length as cut: strips are cut across the fabric whichever way they lie."""
    short, long = sorted(_cut_size(part, allowance_mm))
    return short, long


def _rectangles(project: Project, fabric: str, purpose: str, sizes: Counter[SizeMm]) -> Requirement:
    """Rectangles in rows, each size by itself; what is wider than the fabric is cut along it, and
    what is larger both ways is joined of widths."""
    usable = usable_width_mm(project, fabric)
    length, told = 0.0, []
    for (width, height), count in sorted(sizes.items(), reverse=True):
        words = f"{count} of {size_words((width, height))}"
        if fitting_across(width, usable):
            length += length_in_rows(count, (width, height), usable)
        elif fitting_across(height, usable):
            length += length_in_rows(count, (height, width), usable)
            words += " cut sideways"
        else:
            panels = panels_for(width, height, usable, project.assembly.seam_allowance_mm)
            length += count * panels.length_mm
            words += f" joined of {panels.count} widths each"
        told.append(words)
    return Requirement(purpose, ", ".join(told), _needed(fabric, sizes, usable, length))


def _strips(project: Project, fabric: str, purpose: str, sizes: Counter[SizeMm]) -> Requirement:
    """Strips cut across the fabric and then to length, those longer than it is wide from strips
    joined end to end."""
    usable = usable_width_mm(project, fabric)
    allowance = 2 * project.assembly.seam_allowance_mm
    length, told = 0.0, []
    for (wide, long), count in sorted(sizes.items(), reverse=True):
        across = fitting_across(long, usable)
        strips = strips_for(count * long, usable, allowance)
        if across:
            strips = math.ceil(count / across)
        length += strips * wide
        joined = "" if across else " joined straight"
        words = f"{count} of {size_words((wide, long))}"
        told.append(f"{words} from {counted(strips, 'strip', 'strips')}{joined}")
    return Requirement(purpose, ", ".join(told), _needed(fabric, sizes, usable, length))


def _needed(
    fabric: str, sizes: Counter[SizeMm], usable_mm: float, length_mm: float
) -> FabricNeeded:
    area = sum(count * width * height for (width, height), count in sizes.items())
    return FabricNeeded(fabric, sizes.total(), area, usable_mm, length_mm)


def _border(
    project: Project, purpose: str, sides: Sequence[TopPart], allowance: float
) -> Requirement:
    """Four lengths of one strip, joined straight."""
    fabric = sides[0].name
    usable = usable_width_mm(project, fabric)
    wide = sides[0].width_mm + allowance
    lengths = [it.height_mm + allowance for it in sides[:2]]
    lengths += [it.width_mm + allowance for it in sides[2:]]
    strips = strips_for(sum(lengths), usable, allowance)
    how = (
        f"{counted(strips, 'strip', 'strips')} {mm_words(wide)} wide, joined straight; "
        f"sides 2 of {mm_words(lengths[0])}, then top and bottom 2 of {mm_words(lengths[2])}"
    )
    needed = FabricNeeded(fabric, strips, sum(lengths) * wide, usable, strips * wide)
    return Requirement(purpose, how, needed)


def _binding(project: Project, binding: Strip, top: QuiltTop, allowance: float) -> Requirement:
    usable, wide = usable_width_mm(project, binding.fabric), binding.width_mm
    size = (top.width_mm + allowance, top.height_mm + allowance)
    length = binding_length_mm(*size)
    strips = binding_strips(*size, wide, usable)
    how = (
        f"{counted(strips, 'strip', 'strips')} {mm_words(wide)} wide, joined at 45 degrees, "
        f"for {compact(length / 1000, 2)} m"
    )
    needed = FabricNeeded(binding.fabric, strips, length * wide, usable, strips * wide)
    return Requirement("binding", how, needed)


def _lining(
    lining: Lining, purpose: str, assembly: Assembly, top: QuiltTop, seam_mm: float
) -> Requirement:
    """Backing or batting under the whole top and beyond it on every side."""
    more = 2 * (assembly.seam_allowance_mm + lining.beyond_mm)
    size = (top.width_mm + more, top.height_mm + more)
    panels = panels_for(*size, lining.width_mm, seam_mm)
    seams = "" if panels.count == 1 else f", seams {'up' if panels.upright else 'across'} the quilt"
    how = (
        f"{size_words(size)}: {counted(panels.count, 'panel', 'panels')} of "
        f"{mm_words(panels.each_mm)}{seams}"
    )
    name = lining.name or purpose
    needed = FabricNeeded(name, panels.count, size[0] * size[1], lining.width_mm, panels.length_mm)
    return Requirement(purpose, how, needed)


def _stabiliser(roll_mm: float, hooped: list[SizeMm]) -> Requirement:
    sizes = Counter(hooped)
    how = ", ".join(f"{count} of {size_words(size)}" for size, count in sorted(sizes.items()))
    area = sum(width * height for width, height in hooped)
    needed = FabricNeeded(
        "stabiliser", len(hooped), area, roll_mm, hooped_length_mm(hooped, roll_mm)
    )
    return Requirement("stabiliser", f"one layer: {how}", needed)
