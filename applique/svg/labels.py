"""Labels of pieces: kept where they are given, made where they are not, unique in the block."""

from __future__ import annotations

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
    numbers = _free_numbers(used)
    copies = _Copies(used)
    owners: dict[etree._Element, str] = {}
    findings: list[Finding] = []
    for candidate in found:
        if candidate.owner in owners:
            continue
        label = candidate.label
        if not label:
            label = next(numbers)
        elif keepers[label] is not candidate.owner:
            label = copies.next(label)
            text = f"the label {candidate.label} is already taken, so this piece is now {label}"
            findings.append(note("relabelled", candidate.name, text))
        used.add(label)
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


def _free_numbers(used: set[str]) -> Iterator[str]:
    number = 0
    while True:
        number += 1
        if str(number) not in used:
            yield str(number)


class _Copies:
    """Labels for copies: 17 again is 17b, then 17c; after 17z comes 17-27."""

    def __init__(self, used: set[str]) -> None:
        self._used = used
        self._counts: Counter[str] = Counter()

    def next(self, label: str) -> str:
        base = re.sub(r"(?<=\d)[b-z]$", "", label)
        while True:
            number = self._counts[base]
            self._counts[base] += 1
            letter = _LETTERS[number] if number < len(_LETTERS) else f"-{number + 2}"
            if base + letter not in self._used:
                return base + letter
