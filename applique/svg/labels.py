"""Labels of pieces: kept where they are given, made where they are not, unique in the block."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from lxml import etree

from applique.report import Finding, note
from applique.svg.select import Candidate, part_label

_LETTERS = "bcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True)
class Labels:
    """The labels of the pieces in the order of the candidates, the label each owner bears, and
    what was changed to make them unique."""

    labels: tuple[str, ...]
    owners: Mapping[etree._Element, str]
    findings: tuple[Finding, ...]


def unique_labels(found: Sequence[Candidate]) -> Labels:
    """Give every owner of candidates a label of its own.

    A label that is taken twice (a copy of a tagged piece) becomes 17b, 17c ...; untagged ones get
    the next free number; the pieces of one clone of a group are 5.1, 5.2 ...
    """
    keepers = _keepers(found)
    used = {candidate.label for candidate in found if candidate.label}
    parts = Counter(candidate.owner for candidate in found)
    numbers = map(str, itertools.count(1))
    copies: dict[str, Iterator[str]] = {}
    owners: dict[etree._Element, str] = {}
    findings: list[Finding] = []
    for candidate in found:
        if candidate.owner in owners:
            continue
        label, count = candidate.label, parts[candidate.owner]
        if not label:
            label = next(free for free in numbers if _is_free(free, count, used))
        elif keepers[label] is not candidate.owner or not used.isdisjoint(_parts(label, count)):
            base = re.sub(r"(?<=\d)[b-z]$", "", label)
            others = copies.setdefault(base, copies_of(base))
            label = next(free for free in others if _is_free(free, count, used))
            text = f"the label {candidate.label} is already taken, so this piece counts as {label}"
            findings.append(note("relabelled", candidate.name, text))
        used.update([label, *_parts(label, count)])
        owners[candidate.owner] = label
    labels = tuple(part_label(replace(item, label=owners[item.owner])) for item in found)
    return Labels(labels, owners, tuple(findings))


def _keepers(found: Sequence[Candidate]) -> dict[str, etree._Element]:
    """Who keeps a label that several claim: the piece that was sewn under it, else the lowest."""
    first: dict[str, Candidate] = {}
    for candidate in found:
        holder = first.setdefault(candidate.label, candidate)
        if candidate.sewn and not holder.sewn:
            first[candidate.label] = candidate
    return {label: candidate.owner for label, candidate in first.items()}


def _parts(label: str, count: int) -> list[str]:
    """The labels of the pieces seen through one clone; none where it shows only one."""
    return [f"{label}.{part}" for part in range(1, count + 1)] if count > 1 else []


def _is_free(label: str, count: int, used: set[str]) -> bool:
    return label not in used and used.isdisjoint(_parts(label, count))


def copies_of(base: str) -> Iterator[str]:
    """Labels for copies: 17 again is 17b, then 17c; after 17z comes 17-27."""
    yield from (base + letter for letter in _LETTERS)
    yield from (f"{base}-{number}" for number in itertools.count(len(_LETTERS) + 2))
