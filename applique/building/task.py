"""One task of a build: what it makes, of what, and what came out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from applique.report import Finding

Facts = Mapping[str, Any]
"""What other tasks need to know of one: plain values that JSON can hold."""


@dataclass(frozen=True, eq=False)
class Made:
    """What a task made: files by their names in the build's folder (with / between folders), facts,
    and what deserves a second look."""

    files: Mapping[str, bytes]
    facts: Facts = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, eq=False)
class Failed:
    """Why a task could not be done, in one sentence, and every reason."""

    message: str
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, eq=False)
class Given:
    """What a task works on: the files of earlier tasks that it asked for, by name, the facts of the
    tasks it needs, by task, and what it `keeps` of its own earlier files."""

    files: Mapping[str, bytes]
    facts: Mapping[str, Facts]
    before: Mapping[str, bytes] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Task:
    """Something to be made. `group` is the name of the block it belongs to, "" for none; `doing`
    says it in words. `work` names the module whose `make(asked, given)` does it, which is loaded
    only then; `asked` goes to it as it is, and is part of what the task is known by.

    `needs` are the tasks that come first: their facts are given to it. `reads` are the files of
    these that it is given. Where `follows` is set, it is done though some of its needs failed.
    `keeps` are files of its own that it is given as they were made before, if they were; they don't
    count for what it is known by.
    """

    name: str
    group: str
    doing: str
    work: str
    asked: Any
    needs: tuple[str, ...] = ()
    reads: tuple[str, ...] = ()
    follows: bool = False
    keeps: tuple[str, ...] = ()
