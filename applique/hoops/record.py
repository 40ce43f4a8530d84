"""The hooping plan as plain data, for plan.json."""

from __future__ import annotations

from typing import Any

from applique.hoops.boxes import grown
from applique.hoops.frame import FrameSetting, background_mm
from applique.hoops.plan import Cross, Hooping, HoopingPlan

RECORD_VERSION = 1


def as_record(plan: HoopingPlan, setting: FrameSetting) -> dict[str, Any]:
    """A plan as what JSON holds. Anybody can check the certificate with it: of the parts that a
    window of `windows_mm` holds, those that one hooping can take in order never weigh more than
    `capacity` together."""
    width, height = background_mm(plan, setting)
    return {
        "version": RECORD_VERSION,
        "block": plan.name,
        "block_centre_mm": _rounded(plan.block_centre),
        "hoopings_found": len(plan.hoopings),
        "hoopings_needed": plan.bound,
        "search_finished": plan.finished,
        "certificate": {
            "windows_mm": [list(size) for size in plan.windows],
            "capacity": plan.certificate.capacity,
            "bound": plan.certificate.bound,
            "parts": [
                {
                    "name": name,
                    "weight": weight,
                    "box_mm": _rounded(box),
                    "not_before": [plan.parts[k] for k in below],
                    "later_than": [plan.parts[k] for k in apart],
                }
                for name, weight, box, below, apart in zip(
                    plan.parts,
                    plan.certificate.weights,
                    plan.boxes,
                    plan.below,
                    plan.apart,
                    strict=True,
                )
            ],
        },
        "background_mm": _rounded((width, height)),
        "hoopings": [_hooping(hooping, setting) for hooping in plan.hoopings],
        "crosses": [_cross(cross) for cross in plan.crosses],
        "sewing_machine": [
            {"piece": label, "after_hooping": number} for label, number in plan.by_machine
        ],
    }


def _hooping(hooping: Hooping, setting: FrameSetting) -> dict[str, Any]:
    return {
        "number": hooping.number,
        "field_mm": list(hooping.field.size_mm),
        "turned": hooping.turned,
        "centre_mm": _rounded(hooping.centre),
        "field_on_block_mm": _rounded(hooping.field_box_mm),
        "frame_on_block_mm": _rounded(grown(hooping.field_box_mm, setting.border_mm)),
        "pieces": list(hooping.labels),
        "continued": list(hooping.continued),
        "crosses_used": list(hooping.crosses_used),
        "crosses_made": list(hooping.crosses_made),
        "expected_error_mm": round(hooping.error_mm, 2),
        "stops": [
            {"after": _step_name(step.piece, step.kind), "what": step.pause}
            for step in hooping.steps
            if step.pause
        ],
    }


def _cross(cross: Cross) -> dict[str, Any]:
    return {
        "name": cross.name,
        "place_mm": _rounded(cross.place),
        "made": {"thread": "sewn", "needle": "pricked", "pen": "drawn"}[cross.making],
        "made_in": cross.made_in,
        "used_in": list(cross.used_in),
    }


def _step_name(piece: str, kind: str) -> str:
    return f"{piece} {kind}".strip()


def _rounded(values: tuple[float, ...]) -> list[float]:
    return [round(value, 3) + 0.0 for value in values]
