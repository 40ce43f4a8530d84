"""The sentences that stand in the code, found in its syntax trees."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SOURCES = sorted((ROOT / "applique").rglob("*.py"))

SOMETHING = "…"
"""Stands for what is put into a sentence when it is told."""

_EXCEPTIONS = {"InputError", "OutputError", "UsageError", "EditorError"}
_PARTS = {"ValueError", "ArgumentTypeError", "TangledError"}
"""What is wrong with a value; who catches it says where, and what to do."""

_FINDINGS = {"error": 2, "warning": 2, "note": 2}
"""Where the sentence stands among what a finding is made of."""


@dataclass(frozen=True)
class Sentence:
    """`kind` is "exception", "part", "error", "warning" or "note"."""

    where: str
    kind: str
    text: str


def sentences() -> list[Sentence]:
    """All that are spelled out where they are raised or found, or in the same function."""
    return [found for path in SOURCES for found in _in_file(path)]


@cache
def words_in(path: Path) -> tuple[str, ...]:
    """All texts in a file but for its docstrings."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documented = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    constants = (node for node in ast.walk(tree) if isinstance(node, ast.Constant))
    return tuple(
        node.value
        for node in constants
        if isinstance(node.value, str) and id(node) not in documented
    )


def _in_file(path: Path) -> Iterator[Sentence]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    everywhere = _assigned(tree.body)
    inside = {
        id(node): function
        for function in ast.walk(tree)  # The innermost function comes last.
        if isinstance(function, (ast.FunctionDef, ast.AsyncFunctionDef))
        for node in ast.walk(function)
    }
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        place = _FINDINGS.get(name, 0)
        known = name in _EXCEPTIONS or name in _PARTS or name in _FINDINGS
        if not known or len(node.args) <= place:
            continue
        kind = "exception" if name in _EXCEPTIONS else "part" if name in _PARTS else name
        function = inside.get(id(node))
        names = everywhere | (_assigned(list(ast.walk(function))) if function else {})
        for text in _texts(node.args[place], names):
            if text.replace(SOMETHING, "").strip(" :;"):
                yield Sentence(f"{path.relative_to(ROOT)}:{node.lineno}", kind, text)


def _assigned(nodes: list[ast.stmt] | list[ast.AST]) -> Mapping[str, list[ast.expr]]:
    """What is assigned to each name, and what is added to it then."""
    found: dict[str, list[ast.expr]] = {}
    for node in sorted(nodes, key=lambda node: getattr(node, "lineno", 0)):
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            found.setdefault(node.targets[0].id, []).append(node.value)
        if isinstance(node, ast.AugAssign) and getattr(node.target, "id", "") in found:
            values = found[node.target.id]
            values[-1] = ast.BinOp(values[-1], ast.Add(), node.value)
    return found


def _texts(node: ast.expr, names: Mapping[str, list[ast.expr]], depth: int = 0) -> list[str]:
    """All that an expression may say, as far as that is spelled out."""
    if isinstance(node, ast.Constant):
        return [str(node.value)]
    if isinstance(node, ast.IfExp):
        return _texts(node.body, names, depth) + _texts(node.orelse, names, depth)
    if isinstance(node, ast.Name) and node.id in names and depth < 4:
        return [text for value in names[node.id] for text in _texts(value, names, depth + 1)]
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        after = _texts(node.right, names, depth)
        return [a + b for a in _texts(node.left, names, depth) for b in after]
    if isinstance(node, ast.JoinedStr):
        said = [""]
        for value in node.values:
            inner = value.value if isinstance(value, ast.FormattedValue) else value
            said = [a + b for a in said for b in _texts(inner, names, depth)][:50]
        return said
    return [SOMETHING]
