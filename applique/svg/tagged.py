"""The sewing layer: steps written as tagged groups, and read back. docs/tagged-svg.md in code."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
from lxml import etree

from applique.errors import InputError
from applique.model import Link, Step, StepKind, Thread
from applique.report import Finding, error, note, warning
from applique.svg import vocabulary as v
from applique.svg.digest import made_of
from applique.svg.layers import cleared_layer, digits_for, indent, unit_scale
from applique.svg.paths import write_points
from applique.svg.stitchpath import read_stitches
from applique.svg.style import colour_hex, is_hidden
from applique.svg.transforms import apply, chain_of, inverse, root_matrix
from applique.units import FURTHEST_MM

THREAD_WIDTH_MM = 0.3
"""Width of the drawn thread: a little less than a 40 wt thread covers, so that stitches can be
told apart on the canvas."""

_OURS = frozenset(
    {"id", "style", "transform", v.STEP, v.PIECE, v.SOURCE, v.DIGEST, v.MADE}
    | {v.THREAD, v.THREAD_NAME, v.PAUSE, v.inkscape("label")}
)


@dataclass(frozen=True, eq=False)
class Steps:
    """The steps of a document in sewing order, and what was noticed while reading them."""

    steps: tuple[Step, ...]
    findings: tuple[Finding, ...]


# Writing


def write_steps(root: etree._Element, steps: Sequence[Step]) -> None:
    """Put steps into the document's sewing layer, in place of what stands there.

    Every step's `made` is set to the stitches as written, unless it was edited by hand.
    """
    layer = cleared_layer(root, v.ROLE_STITCHING, "Stitching", _is_step)
    scale = unit_scale(root)
    to_user = inverse(root_matrix(root))
    names: Counter[str] = Counter()
    for step in steps:
        layer.append(_group(step, to_user, scale, names))
    indent(layer)


def as_written(root: etree._Element, steps: Iterable[Step]) -> tuple[Step, ...]:
    """Steps with every penetration where it will stand once it is written and read back."""
    matrix = root_matrix(root)
    to_user, digits = inverse(matrix), digits_for(unit_scale(root))
    return tuple(
        replace(
            step,
            paths=tuple(
                apply(matrix, np.round(apply(to_user, path), digits)) for path in step.paths
            ),
        )
        for step in steps
    )


def _is_step(element: etree._Element) -> bool:
    return element.get(v.STEP) is not None


def _group(step: Step, to_user: np.ndarray, scale: float, names: Counter[str]) -> etree._Element:
    digits = digits_for(scale)
    paths = [apply(to_user, path) for path in step.paths]
    made = step.made if step.edited else made_of(paths, digits)
    group = etree.Element(v.svg("g"))
    group.set("id", _step_id(step, names))
    group.set(v.inkscape("label"), f"{step.piece} {step.kind}".strip())
    group.set(v.STEP, step.kind)
    if step.piece:
        group.set(v.PIECE, step.piece)
        group.set(v.SOURCE, step.source)
        group.set(v.DIGEST, step.digest)
        group.set(v.MADE, made)
    group.set(v.THREAD, step.thread.colour)
    if step.thread.name:
        group.set(v.THREAD_NAME, step.thread.name)
    if step.pause:
        group.set(v.PAUSE, step.pause)
    for name, value in step.foreign:
        group.set(name, value)
    width = f"{THREAD_WIDTH_MM / scale:.4g}"
    group.set(
        "style",
        f"fill:none;stroke:{step.thread.colour};stroke-width:{width};"
        "stroke-linecap:round;stroke-linejoin:round",
    )
    for path, link in zip(paths, step.links, strict=True):
        drawn = etree.SubElement(group, v.svg("path"))
        drawn.set("d", write_points(path, digits))
        drawn.set(v.AFTER, link)
    return group


def _step_id(step: Step, names: Counter[str]) -> str:
    safe = re.sub(r"[^A-Za-z0-9_-]", "_", step.piece)
    name = "-".join(part for part in ("ap", safe, step.kind) if part)
    names[name] += 1
    return name if names[name] == 1 else f"{name}-{names[name]}"


# Reading


def read_steps(root: etree._Element) -> Steps:
    """Read the sewing layer; raises InputError naming every step that can't be sewn.

    Hidden steps are sewn too, and reported. A travel run between two paths leaves their link as
    "run".
    """
    findings: list[Finding] = []
    steps: list[Step] = []
    layers = [child for child in root if child.get(v.ROLE) == v.ROLE_STITCHING]
    matrix = root_matrix(root)
    digits = digits_for(unit_scale(root))
    for layer in layers:
        if is_hidden(layer):
            findings.append(warning("hidden-step", "", "the sewing layer is hidden; it is sewn"))
        for group in layer.iter(v.svg("g")):
            if _is_step(group):
                step = _step(group, matrix, digits, findings)
                if step is not None:
                    steps.append(step)
    if any(finding.severity == "error" for finding in findings):
        raise InputError("some of the steps can't be sewn", findings)
    return Steps(tuple(steps), tuple(findings))


def _step(
    group: etree._Element, matrix: np.ndarray, digits: int, findings: list[Finding]
) -> Step | None:
    kind = group.get(v.STEP, "")
    piece = group.get(v.PIECE, "")
    name = f"{piece} {kind}".strip()
    if kind not in v.STEP_KINDS:
        text = f"'{kind}' is no step; use one of {', '.join(v.STEP_KINDS)}"
        findings.append(error("unknown-step", name, text))
        return None
    if is_hidden(group):
        findings.append(warning("hidden-step", name, "the step is hidden; it is sewn all the same"))
    paths: list[np.ndarray] = []
    drawn: list[np.ndarray] = []
    links: list[Link] = []
    for element in group.iter(v.svg("path")):
        try:
            found = read_stitches(element.get("d", ""))
            inner = chain_of(element)
        except ValueError as problem:
            findings.append(error("stitches", name, str(problem)))
            continue
        link: Link = "run" if element.get(v.AFTER) == "run" else "trim"
        for k, path in enumerate(found):
            drawn.append(apply(inner, path))
            paths.append(apply(matrix, drawn[-1]))
            links.append(link if k + 1 == len(found) else "trim")
    if not all(np.abs(path).max() <= FURTHEST_MM for path in paths):
        text = f"a stitch lies {FURTHEST_MM / 1000:g} m or more from the page; mend or remove it"
        findings.append(error("stitches", name, text))
        return None
    if not paths:
        return None
    made = group.get(v.MADE, "")
    return Step(
        kind=_kind(kind),
        piece=piece,
        thread=_thread(group, name, findings),
        paths=tuple(paths),
        links=tuple(links),
        pause=group.get(v.PAUSE, ""),
        source=group.get(v.SOURCE, ""),
        digest=group.get(v.DIGEST, ""),
        made=made,
        edited=bool(piece) and made_of(drawn, digits) != made,
        foreign=_foreign(group, name, findings),
    )


def _foreign(
    group: etree._Element, name: str, findings: list[Finding]
) -> tuple[tuple[str, str], ...]:
    """Attributes that are not ours, which are kept; and that the step is hidden, if it is."""
    kept = {str(key): str(value) for key, value in group.attrib.items() if key not in _OURS}
    for key in kept:
        if key.startswith(f"{{{v.AP}}}"):
            text = f"ap:{key.rpartition('}')[2]} is not known and was left alone"
            findings.append(note("unknown-tag", name, text))
    kept.pop("display", None)
    if is_hidden(group):
        kept["display"] = "none"
    return tuple(kept.items())


def _kind(text: str) -> StepKind:
    for kind in v.STEP_KINDS:
        if kind == text:
            return cast(StepKind, kind)
    raise ValueError(f"'{text}' is no step")


def _thread(group: etree._Element, name: str, findings: list[Finding]) -> Thread:
    text = group.get(v.THREAD, "")
    colour = colour_hex(text)
    if colour is None:
        complaint = f"ap:thread '{text}' is no colour; write it as #rrggbb"
        findings.append(error("thread", name, complaint))
    return Thread(colour or "#000000", group.get(v.THREAD_NAME, ""))
