"""What is kept of a task that was done, so that it need not be done again."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from applique.building.task import Facts
from applique.quilt.facts import BlockFacts
from applique.report import Finding

FORMAT = 1
"""Raised whenever a record of before would be misread."""

FACTS = "block"
"""The fact of a block's hoopings that holds what the block comes to."""


@dataclass(frozen=True, eq=False)
class Record:
    """A task that was done: the key of its inputs, the digests of its files by name, its facts and
    findings. While files are put in place the key is "", and `before` has the digests of the files
    that are being replaced: either may be found after the run was killed."""

    key: str
    files: Mapping[str, str]
    facts: Facts = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    before: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def digests(self, name: str) -> set[str]:
        """All that a file of the task may hold if nobody else has touched it."""
        known = set(self.before.get(name, ()))
        return known | ({self.files[name]} if name in self.files else set())

    def names(self) -> set[str]:
        """All files that the task has put into the folder."""
        return set(self.files) | set(self.before)


def record_bytes(record: Record) -> bytes:
    """A record as it is written down."""
    told = {
        "format": FORMAT,
        "key": record.key,
        "files": dict(record.files),
        "before": {name: list(digests) for name, digests in record.before.items()},
        "facts": record.facts,
        "findings": [_told(finding) for finding in record.findings],
    }
    return json.dumps(told, ensure_ascii=False, indent=1).encode() + b"\n"


def read_record(data: bytes) -> Record | None:
    """A record as it was written down; None if it is damaged, or of another version."""
    try:
        told = json.loads(data)
        if told["format"] != FORMAT:
            return None
        return Record(
            key=str(told["key"]),
            files={str(name): str(digest) for name, digest in told["files"].items()},
            facts=_facts(told["facts"]),
            findings=tuple(_finding(each) for each in told["findings"]),
            before={str(name): tuple(map(str, each)) for name, each in told["before"].items()},
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _facts(told: Any) -> Facts:
    """The facts of a task. Raises ValueError where what a block comes to is odd: whoever adds it up
    relies on it."""
    facts = dict(told)
    if FACTS in facts:
        BlockFacts.from_dict(facts[FACTS])
    return facts


def _told(finding: Finding) -> list[Any]:
    place = None if finding.place is None else list(finding.place)
    return [finding.severity, finding.code, finding.object, finding.message, place]


def _finding(told: Any) -> Finding:
    severity, code, subject, message, place = told
    where = None if place is None else (float(place[0]), float(place[1]))
    return Finding(severity, str(code), str(subject), str(message), where)
