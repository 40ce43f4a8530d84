"""What `applique hoop` says of a plan, and its comparison of fields."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from applique.cli.say import say
from applique.cli.table import aligned
from applique.cli.watch import watched
from applique.errors import InputError
from applique.hooping import plan_hoopings
from applique.hoops.filed import file_plan
from applique.hoops.frame import background_mm, frame_told
from applique.hoops.layered import Layered
from applique.hoops.plan import Hooping, HoopingPlan
from applique.hoops.problem import Progress
from applique.hoops.request import HoopRequest
from applique.hoops.told import found_and_needed
from applique.proof.time import sewing_time
from applique.report import counted
from applique.units import MM_PER_INCH, compact

if TYPE_CHECKING:
    from applique.hoopsheets import Results

_HEADINGS = ("field", "hoopings", "at least", "stops", "minutes")


def far(progress: Progress) -> str:
    """How far the search is."""
    found, bound = progress.found, progress.bound
    return f"{found} hoopings found, at least {bound} needed; {progress.what}"


def say_plan(plan: HoopingPlan, request: HoopRequest, results: Results, folder: Path) -> None:
    """The plan, hooping by hooping."""
    say(found_and_needed(plan))
    for hooping, stitched, filed in zip(
        plan.hoopings, results.stitched, results.plans, strict=True
    ):
        turned = "turned" if hooping.turned else "upright"
        stops = counted(len(filed.blocks) - 1, "stop", "stops")
        say(
            f"{hooping.number}: {hooping.field.told}, {turned}: {', '.join(hooping.labels)}; "
            f"{counted(stitched.stitch_count, 'stitch', 'stitches')}, {stops}, read back equal"
        )
        for line in _lining(hooping, plan, request):
            say(f"   {line}")
        if stitched.thread_kept:
            kept = ", ".join(str(number) for number in stitched.thread_kept)
            say(f"   keep the thread at colour block {kept}, whatever the machine shows there")
    say(_background(plan, request))
    for name in results.files:
        say(f"  {folder / name}")
    say(
        "Print the templates at 100 % and measure their bars. Test on scraps first, keep fingers "
        "away from the needle and follow your machine's own instructions."
    )


def say_comparison(layered: Layered, request: HoopRequest, most_seconds: float) -> None:
    """A table of each field alone."""
    rows: list[Sequence[str]] = [_HEADINGS]
    refused: list[str] = []
    for one in request.fields:
        alone = replace(request, fields=(one,))
        try:
            with watched(most_seconds, far) as told:
                plan = plan_hoopings(layered, alone, told).plan
        except InputError as problem:
            rows.append((one.told, "-", "-", "-", "-"))
            refused.append(f"{one.told}: {problem}")
            continue
        stops, minutes = _machine_time(plan)
        count = str(len(plan.hoopings))
        rows.append((one.told, count, str(plan.bound), str(stops), f"{minutes:.0f}"))
    for line in aligned(rows, left_columns=1):
        say(line)
    for line in refused:
        say(line)
    say("minutes are the machine's alone; hooping, laying and trimming come on top")


def _background(plan: HoopingPlan, request: HoopRequest) -> str:
    """How much cloth the hoopings take."""
    if request.hold == "laid on":
        return "only stabiliser is hooped, so the background may be cut as large as usual"
    width, height = background_mm(plan, request.frame)
    inches = f"{width / MM_PER_INCH:.1f} x {height / MM_PER_INCH:.1f} in"
    return (
        f"the background must measure {width:.0f} x {height:.0f} mm ({inches}) at least; where "
        "that is too much, --baste hoops the stabiliser alone"
    )


def _machine_time(plan: HoopingPlan) -> tuple[int, float]:
    """Stops and minutes of the machine over all hoopings."""
    times = [
        sewing_time(file_plan(hooping, plan.name, plan.block_centre).blocks)
        for hooping in plan.hoopings
    ]
    return sum(each.stops for each in times), sum(each.machine_minutes for each in times)


def _lining(hooping: Hooping, plan: HoopingPlan, request: HoopRequest) -> list[str]:
    lines = [frame_told(hooping, request.frame)]
    if hooping.continued:
        lines.append(f"goes on with {', '.join(hooping.continued)}, laid before")
    if hooping.crosses_used:
        reading = compact(request.reading_mm)
        first = "sews" if request.hold == "laid on" else "begins without thread at"
        where = " on the bare stabiliser first" if request.hold == "laid on" else ""
        lines.append(
            f"{first} crosses {' and '.join(hooping.crosses_used)}{where}; read "
            f"{reading} mm off, the farthest stitch is expected {hooping.error_mm:.1f} mm off"
        )
    making = {cross.name: cross.making for cross in plan.crosses}
    for how, words in (("thread", "sews"), ("needle", "pricks, without thread,")):
        names = [name for name in hooping.crosses_made if making[name] == how]
        if names:
            lines.append(f"{words} crosses {', '.join(names)}")
    return lines
