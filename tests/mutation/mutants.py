"""Mutants of the sources: cosmic-ray's operators, one change each, drawn by a seed."""

from __future__ import annotations

import ast
import difflib
import random
import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.operators.operator import Operator
from cosmic_ray.plugins import get_operator, operator_names

_SHOWN_LINES = 0
"""Lines around a change in its diff; the head says which line it is."""

_ANY_TEST_WOULD = re.compile(
    r"Binary\w+_(RShift|LShift|BitOr|BitAnd|BitXor)$|Comparison\w+_(?!Is_)(?!IsNot_)\w+_(Is|IsNot)$"
)
"""Operators left out: numbers with a point have no bits, and hardly two of them are one object.
Such mutants die in any test that gets there, which would flatter the tests."""


_Place = tuple[tuple[int, int], tuple[int, int]]
"""Begin and end in the text, each by line, from 1, and column."""


@dataclass(frozen=True)
class Mutant:
    """A source file with one change. The path is relative to the project; lines count from 1."""

    path: Path
    line: int
    was: str
    text: str

    @property
    def diff(self) -> str:
        """The changed lines, as `diff -u` has them."""
        lines = difflib.unified_diff(
            self.was.splitlines(), self.text.splitlines(), lineterm="", n=_SHOWN_LINES
        )
        return "\n".join(list(lines)[2:])


def sample(root: Path, paths: Sequence[Path], count: int, seed: int) -> list[Mutant]:
    """So many mutants at most, no two of one place, from every file as many as its places call
    for. A file's own are drawn by the seed and its text alone; what is no Python is left out."""
    texts = {path: (root / path).read_text(encoding="utf-8") for path in paths}
    ways = {path: list(_ways_by_place(text).values()) for path, text in texts.items()}
    shares = _shares([len(places) for places in ways.values()], count)
    mutants = []
    for (path, places), share in zip(ways.items(), shares, strict=True):
        chance = random.Random(f"{seed} {path}")
        drawn = chance.sample(places, share)
        mutants += [_mutant(path, texts[path], *chance.choice(found)) for found in drawn]
    return [mutant for mutant in mutants if _is_python(mutant.text)]


def _shares(sizes: Sequence[int], count: int) -> list[int]:
    """A count shared out in proportion to sizes, but no more than these (largest remainders)."""
    count = min(count, sum(sizes))
    exact = [size * count / max(sum(sizes), 1) for size in sizes]
    shares = [int(share) for share in exact]
    by_rest = sorted(range(len(sizes)), key=lambda k: (shares[k] - exact[k], k))
    for k in by_rest[: count - sum(shares)]:
        shares[k] += 1
    return shares


def _ways_by_place(text: str) -> dict[_Place, list[tuple[Operator, int]]]:
    """How the code at every place can be changed: operator and occurrence. Annotations are none,
    for nothing runs them."""
    nodes = list(ast_nodes(get_ast(text)))
    notes = list(_annotations(text))
    ways = defaultdict(list)
    for operator in _operators():
        positions = (place for node in nodes for place in operator.mutation_positions(node))
        for occurrence, (begin, end) in enumerate(positions):
            if not any(first <= begin and end <= last for first, last in notes):
                ways[begin, end].append((operator, occurrence))
    return dict(sorted(ways.items()))


def _operators() -> Iterator[Operator]:
    """Those that need no words of their own."""
    for name in operator_names():
        operator = get_operator(name)
        if not operator.arguments() and not _ANY_TEST_WOULD.search(name):
            yield operator()


def _annotations(text: str) -> Iterator[_Place]:
    for node in ast.walk(ast.parse(text)):
        note = getattr(node, "annotation", None) or getattr(node, "returns", None)
        if note is not None:
            yield (note.lineno, note.col_offset), (note.end_lineno, note.end_col_offset)


def _mutant(path: Path, text: str, operator: Operator, occurrence: int) -> Mutant:
    changed = mutate_code(text, operator, occurrence)
    pairs = zip(text.splitlines(), changed.splitlines(), strict=False)
    line = next(number for number, (was, now) in enumerate(pairs, start=1) if was != now)
    return Mutant(path, line, text, changed)


def _is_python(text: str) -> bool:
    """The two stars before an argument are no power, but look like one."""
    try:
        ast.parse(text)
    except SyntaxError:
        return False
    return True
