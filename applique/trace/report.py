"""What a traced page has to tell: sentences for the user, figures for a script."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from applique.geometry.curves import flatten
from applique.report import Finding, counted, note, warning
from applique.trace.page import InkEdge
from applique.trace.template import LeftOut, Template
from applique.trace.write import NumberedPage


def page_findings(item: NumberedPage, ink_edge: InkEdge) -> list[Finding]:
    """The sentences about a page: what to look at, what was left out, what the pen did."""
    findings = [
        warning(doubt.code, label, doubt.text, doubt.place)
        for label, template in zip(item.labels, item.traced.templates, strict=True)
        for doubt in template.doubts
    ]
    for opened in item.traced.open_lines:
        text = (
            f"a line is open: its ends are {opened.width_mm:.1f} mm apart, the other at "
            f"{opened.stop[0]:.1f}, {opened.stop[1]:.1f} mm; no outline was made of it"
        )
        findings.append(warning("open-line", item.page.name, text, opened.start))
    findings.append(_order(item))
    findings.append(note("pen", item.page.name, pen_sentence(item.traced.pen_mm, ink_edge)))
    if item.traced.left_out:
        findings.append(note("left-out", item.page.name, _left_out(item.traced.left_out)))
    return findings


def pen_sentence(pen_mm: float, ink_edge: InkEdge) -> str:
    """The pen's width and what each choice of edge does to the size."""
    half, whole = f"{pen_mm / 2:.1f} mm larger on each side", f"{pen_mm:.1f} mm larger on each side"
    rounded = "points are rounded by that much; --ink-edge near gives the template's size"
    told = {
        "near": "the edge next to the template was taken, so pieces have the template's size; the "
        f"line's middle would make them {half}, its far edge {whole}, and round their points",
        "centre": f"the line's middle was taken, so pieces are {half}; {rounded}",
        "far": f"the far edge was taken, so pieces are {whole}; {rounded}",
    }
    return f"the pen is {pen_mm:.2f} mm wide; {told[ink_edge]}"


def _order(item: NumberedPage) -> Finding:
    first, last = item.labels[:1], item.labels[-1:]
    if not first:
        return note("order", item.page.name, "has no outline")
    text = (
        f"{counted(len(item.labels), 'outline', 'outlines')}, {first[0]} at the upper left to "
        f"{last[0]} at the lower right, in reading order as the page lies in the picture"
    )
    return note("order", item.page.name, text)


def _left_out(left: tuple[LeftOut, ...]) -> str:
    kinds: dict[str, int] = {}
    for item in left:
        kinds[item.kind] = kinds.get(item.kind, 0) + 1
    parts = [f"{count} x {kind}" for kind, count in sorted(kinds.items())]
    return f"left out ({', '.join(parts)}); the hidden layer 'left out' shows them"


def look_at(item: NumberedPage) -> list[str]:
    """The short list of what deserves a look, a line for each template."""
    return [
        f"look at {label}: " + "; ".join(doubt.text for doubt in template.doubts)
        for label, template in zip(item.labels, item.traced.templates, strict=True)
        if template.doubts
    ]


def page_report(item: NumberedPage) -> dict[str, Any]:
    """The figures of a page."""
    pen_mm = item.traced.pen_mm
    return {
        "name": item.page.name,
        "size_mm": [_round(item.page.width_mm), _round(item.page.height_mm)],
        "mm_per_px": round(item.page.mm_per_px, 6),
        "pen_mm": _round(pen_mm),
        "larger_on_each_side_mm": {
            "near": 0.0,
            "centre": _round(pen_mm / 2),
            "far": _round(pen_mm),
        },
        "templates": [
            _template(label, template)
            for label, template in zip(item.labels, item.traced.templates, strict=True)
        ],
        "open_lines": [
            {"ends_mm": [_place(line.start), _place(line.stop)], "apart_mm": _round(line.width_mm)}
            for line in item.traced.open_lines
        ],
        "left_out": [
            {"kind": left.kind, "box_mm": _place(left.box)} for left in item.traced.left_out
        ],
    }


def _template(label: str, template: Template) -> dict[str, Any]:
    polygon = shapely.Polygon(flatten(template.curve))
    left, top, right, bottom = template.box
    return {
        "label": label,
        "score": template.score,
        "flags": [doubt.code for doubt in template.doubts],
        "look_at": [
            {"code": doubt.code, "text": doubt.text, "place_mm": _place(doubt.place)}
            for doubt in template.doubts
        ],
        "gaps": [
            {"width_mm": _round(gap.width_mm), "place_mm": _place(gap.place)}
            for gap in template.gaps
        ],
        "box_mm": _place(template.box),
        "size_mm": [_round(right - left), _round(bottom - top)],
        "area_mm2": round(float(polygon.area), 1),
        "around_mm": round(float(polygon.length), 1),
        "corners_mm": [_place(tuple(c.place)) for c in template.line.shape.corners],
        "curves": len(template.curve.segments),
        "pen_mm": _round(template.line.pen_mm),
        "inside": template.inside is not None,
    }


def _place(values: tuple[float, ...] | np.ndarray) -> list[float]:
    return [_round(float(value)) for value in values]


def _round(value: float) -> float:
    return round(value, 3)
