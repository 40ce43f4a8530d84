"""What is said of a plan, on the command line and in the editor."""

from __future__ import annotations

from applique.hoops.plan import HoopingPlan
from applique.report import counted


def found_and_needed(plan: HoopingPlan) -> str:
    """How many hoopings were found, and how many are certainly needed."""
    found = counted(len(plan.hoopings), "hooping", "hoopings")
    if len(plan.hoopings) == plan.bound:
        divided = " with its large pieces divided as they are" if plan.in_stretches else ""
        return f"{found}; no plan{divided} has fewer"
    ended = "" if plan.finished else "; the search was ended early"
    return f"{found} found, at least {plan.bound} needed{ended}"
