"""Which drawn shapes are pieces: those asked for, else those tagged, else all that are filled.
What is tagged as a detail comes along in any case."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from lxml import etree

from applique.report import Finding, counted, error, note, warning
from applique.svg import vocabulary as v
from applique.svg.tree import Drawn, drawn

_HOW_TO = {
    "text": "text can't be sewn; turn it into paths first (Path > Object to Path)",
    "image": "an image can't be sewn; trace it into closed paths first",
    "broken clone": "this clone shows nothing, because what it copies is gone; delete it",
    "group": "a group can't be one piece; tag the shapes in it, or combine them (Path > Combine)",
}


@dataclass(frozen=True, eq=False)
class Candidate:
    """What may become one piece. `label` is its owner's tag or "", `part` counts the pieces seen
    through one clone of a group (0 where there is only one); `name` is how to call it in a finding;
    `asked_for` makes its faults errors; `concerned` means its layers are to be made; `sewn` that
    the document already holds stitches of this element under this label."""

    shapes: tuple[Drawn, ...]
    owner: etree._Element
    label: str
    part: int
    name: str
    tags: Mapping[str, str]
    asked_for: bool
    concerned: bool
    sewn: bool = False

    @property
    def detail(self) -> str | None:
        """The style of detail that it is tagged with, None for a piece."""
        return detail_in(self.tags)


@dataclass(frozen=True, eq=False)
class Candidates:
    """The candidates in stacking order, the lowest first; and, where pieces are tagged, the filled
    shapes that are `untagged` and so no pieces."""

    candidates: tuple[Candidate, ...]
    untagged: tuple[Drawn, ...]
    findings: tuple[Finding, ...]


def candidates(
    root: etree._Element, select: Sequence[str], detail: str | None = None
) -> Candidates:
    """Choose the shapes that are pieces or details, and say by which rule. What is selected counts
    as tagged with the style `detail`, if one is given."""
    everything = list(drawn(root, frozenset(select)))
    if detail is not None:
        everything = [_asked_as(item, detail) for item in everything]
    tagged = [item for item in everything if _is_tagged(item)]
    details = [item for item in everything if detail_in(item.tags) is not None]
    findings: list[Finding] = []
    untagged: list[Drawn] = []
    if select:
        findings.extend(_wrong_selection(root, select, everything))
        chosen = {*tagged, *details, *(item for item in everything if item.selected)}
    elif tagged:
        chosen = {*tagged, *details}
        untagged = [item for item in _automatic(everything) if not _is_tagged(item)]
        number = counted(len(tagged), "shape", "shapes")
        findings.append(note("taken", "", f"took what is tagged as a piece: {number}"))
    else:
        filled = _automatic(everything)
        chosen = {*filled, *details}
        number = counted(len(_shapes(filled)), "shape", "shapes")
        findings.append(note("taken", "", f"nothing is tagged; took whatever is filled: {number}"))
    taken = [item for item in everything if item in chosen]
    findings.extend(_unsewable(taken))
    found = _marked_sewn(root, _grouped(_shapes(taken), bool(select)))
    return Candidates(tuple(found), tuple(_shapes(untagged)), tuple(findings))


def _shapes(items: Iterable[Drawn]) -> list[Drawn]:
    return [item for item in items if item.kind == "shape"]


def _unsewable(taken: Iterable[Drawn]) -> Iterator[Finding]:
    """What among the things taken is no shape: an error if it was asked for."""
    for item in taken:
        if item.kind != "shape":
            asked_for = item.selected or "piece" in item.tags or "detail" in item.tags
            say = error if asked_for else warning
            yield say(item.kind, name_of(item), _HOW_TO[item.kind])


def detail_in(tags: Mapping[str, str]) -> str | None:
    """The style of detail that some tags ask for; None if they ask for none."""
    style = tags.get("detail")
    return None if style == "none" else style


def _asked_as(item: Drawn, detail: str) -> Drawn:
    return replace(item, tags={**item.tags, "detail": detail}) if item.selected else item


def _is_tagged(item: Drawn) -> bool:
    return bool(item.tags.get("piece")) and detail_in(item.tags) is None


def _automatic(everything: Iterable[Drawn]) -> list[Drawn]:
    """Every shape that is filled and shown; text and images come along to be named."""
    taken = []
    for item in everything:
        if not item.look.shown or detail_in(item.tags) is not None:
            continue
        has_inside = item.look.fill is not None and not _is_open_line(item)
        if has_inside or item.kind in ("image", "broken clone"):
            taken.append(item)
    return taken


def _is_open_line(item: Drawn) -> bool:
    return item.element.tag == v.svg("line")


def _wrong_selection(
    root: etree._Element, select: Sequence[str], everything: Iterable[Drawn]
) -> list[Finding]:
    """Ids that no element has; or that what is selected draws nothing."""
    known = {found.get("id") for found in root.iter("*")}
    unknown = [
        error("unknown-id", wanted, "no element has this id; look it up in Object Properties")
        for wanted in select
        if wanted not in known
    ]
    if unknown or any(item.selected for item in everything):
        return unknown
    text = "nothing in the selection can be sewn; select closed paths"
    return [error("empty-selection", "", text)]


def _grouped(shapes: Sequence[Drawn], selecting: bool) -> list[Candidate]:
    """One candidate a shape; but all the outlines of one symbol's clone are one piece, and all its
    details of one style one detail."""
    groups: dict[object, list[Drawn]] = {}
    for item in shapes:
        style = detail_in(item.tags)
        key = (item.owner, style) if item.of_symbol else (item.owner, len(groups))
        groups.setdefault(key, []).append(item)
    found = []
    for group in groups.values():
        first = group[0]
        tags = first.tags
        candidate = Candidate(
            tuple(group),
            first.owner,
            tags.get("piece", ""),
            0,
            tags.get("piece", "") or name_of(first),
            tags,
            asked_for=first.selected or "piece" in tags or detail_in(tags) is not None,
            concerned=first.selected if selecting else True,
        )
        found.append(candidate)
    return _numbered(found)


def _numbered(found: list[Candidate]) -> list[Candidate]:
    """Count the pieces that are seen through one clone of a group."""
    seen_through = Counter(candidate.owner for candidate in found)
    so_far: Counter[etree._Element] = Counter()
    result = []
    for candidate in found:
        so_far[candidate.owner] += 1
        several = seen_through[candidate.owner] > 1
        part = so_far[candidate.owner] if several else 0
        name = f"{candidate.name}.{part}" if several else candidate.name
        result.append(replace(candidate, part=part, name=name))
    return result


def _marked_sewn(root: etree._Element, found: Iterable[Candidate]) -> list[Candidate]:
    sewn = {
        (step.get(v.PIECE), step.get(v.SOURCE))
        for step in root.iter(v.svg("g"))
        if step.get(v.STEP) is not None
    }
    return [
        replace(candidate, sewn=(part_label(candidate), candidate.owner.get("id")) in sewn)
        for candidate in found
    ]


def part_label(candidate: Candidate) -> str:
    """The label with its part: 5.2 is the second piece seen through clone 5."""
    return f"{candidate.label}.{candidate.part}" if candidate.part else candidate.label


def name_of(item: Drawn) -> str:
    """How to call a shape that has no label: as the editor's object list does, else by its id."""
    owner = item.owner
    return (
        item.tags.get("piece")
        or owner.get(v.inkscape("label"))
        or owner.get("id")
        or f"<{owner.tag.rpartition('}')[2]}>"
    )
