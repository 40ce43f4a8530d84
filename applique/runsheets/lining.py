"""How a hooping is placed and lined up, in words."""

from __future__ import annotations

from applique.hoops.plan import Cross, Hooping, HoopingPlan
from applique.hoops.request import HoopRequest
from applique.paper.run_content import Task
from applique.runsheets.words import joined
from applique.units import compact


def lining_told(hooping: Hooping, plan: HoopingPlan, request: HoopRequest) -> tuple[str, ...]:
    """What is to be known of a hooping before it is sewn."""
    told = [_frame(hooping, request)]
    if hooping.turned:
        told.append("The block lies turned in it, a quarter clockwise as seen from above.")
    if hooping.continued:
        told.append(f"It goes on with {joined(hooping.continued)}, laid in an earlier hooping.")
    drawn = [cross.name for cross in plan.crosses if _drawn_before(cross) == hooping.number]
    if drawn:
        told.append(f"Before hooping, draw on the block from the template: {_crosses(drawn)}.")
    if hooping.crosses_used:
        told.append(_line_up(hooping, request))
    making = {cross.name: cross.making for cross in plan.crosses}
    for how, words in (("thread", "sews"), ("needle", "pricks, without thread,")):
        made = [name for name in hooping.crosses_made if making[name] == how]
        if made:
            told.append(f"At its end it {words} {_crosses(made)} for a later hooping.")
    return tuple(told)


def _frame(hooping: Hooping, request: HoopRequest) -> str:
    """What the frame takes, and how much cloth it must grip."""
    width, height = hooping.field.size_mm
    outside, grip = (
        " × ".join(compact(side + 2 * more, 0) for side in (width, height))
        for more in (request.frame.border_mm, request.frame.grip_mm)
    )
    cloth = "stabiliser" if request.hold == "laid on" else "a background"
    return f"The frame takes {outside} mm and grips {cloth} of at least {grip} mm."


def _drawn_before(cross: Cross) -> int:
    """The number of the hooping before which a cross is drawn by hand, 0 for any other cross."""
    return max(cross.made_in, 1) if cross.making == "pen" else 0


def _line_up(hooping: Hooping, request: HoopRequest) -> str:
    crosses = _crosses(hooping.crosses_used)
    off = f"{compact(request.reading_mm)} mm off, the farthest stitch is expected"
    expected = f"read {off} {hooping.error_mm:.1f} mm off"
    if request.hold == "laid on":
        return f"It sews {crosses} on the bare stabiliser first, to lay the block by; {expected}."
    return f"It begins without thread at {crosses}, to check the hooping by; {expected}."


def _crosses(names: tuple[str, ...] | list[str]) -> str:
    return f"{'cross' if len(names) == 1 else 'crosses'} {joined(names)}"


def hooping_task(hooping: Hooping, request: HoopRequest, stabiliser: str) -> Task:
    """The block, or the stabiliser alone, is hooped."""
    material = _named(stabiliser)
    if request.hold == "laid on":
        return Task("hoop", f"Hoop {material} alone; the block is laid on it later.")
    what = "the background" if hooping.number == 1 else "the block again"
    return Task("hoop", f"Hoop {what} with {material}, as its printed template shows.")


def block_task(stabiliser: str) -> Task:
    """The background of a block that is sewn in one hooping is hooped."""
    words = f"Hoop the background with {_named(stabiliser)}, its middle in the hoop's middle."
    return Task("hoop", words)


def _named(stabiliser: str) -> str:
    return f"stabiliser ({stabiliser})" if stabiliser else "stabiliser"


def sewing_machine_tasks(hooping: Hooping, plan: HoopingPlan) -> list[Task]:
    """The edges that are sewn on the sewing machine once a hooping is done."""
    labels = [label for label, after in plan.by_machine if after == hooping.number]
    if not labels:
        return []
    edges, patterns = ("edge", "its pattern") if len(labels) == 1 else ("edges", "their patterns")
    words = f"Sew the {edges} of {joined(labels)} on the sewing machine, by {patterns}."
    return [Task("machine", words)]
