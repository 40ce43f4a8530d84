"""The steps by which a hooping is lined up, and its basting box."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from applique.hoops.lining.places import ARM_MM
from applique.hoops.plan import Cross
from applique.hoops.problem import BoxMm
from applique.model import Step, StepKind, Thread
from applique.stitches.running import running
from applique.stitches.ties import tied

UNTHREADED = Thread("#b4b4b4", "no thread in the needle")
"""Stands for the empty needle wherever a step needs a thread."""

TAKE_OUT = "Take the thread out of the needle."

TIE_MM = 0.8

BASTING_MM = 6.0
"""Stitch length of a basting box, easily taken out again (common practice: 5 to 7 mm)."""

_ARMS = ARM_MM * np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, -1.0], [0.0, 1.0]])


def check_steps(crosses: Sequence[Cross], thread: Thread) -> list[Step]:
    """The needle, without thread, goes round each cross and stops over its middle. After the last
    one it is threaded for what follows."""
    steps = []
    for cross in crosses:
        pause = (
            f"The needle stands over cross {cross.name}. Lower it with the handwheel; where it "
            "misses the middle, move the work or hoop it again."
        )
        steps.append(_step("align", _traced(cross.place), UNTHREADED, pause))
    return _ending_with(steps, f"Then thread {thread.name or thread.colour}.")


def laid_on_steps(crosses: Sequence[Cross], thread: Thread) -> list[Step]:
    """Crosses sewn onto the bare stabiliser, on which the block is laid with its own."""
    steps = [_step("align", _sewn(cross.place), thread) for cross in crosses]
    names = " and ".join(cross.name for cross in crosses)
    words = (
        f"Lay the block on the stabiliser, its crosses {names} on those just sewn, and pin it well "
        "outside the field; never sew over pins."
    )
    return _ending_with(steps, words)


def middle_steps(
    centre: tuple[float, float], upwards: tuple[float, float], box: BoxMm, thread: Thread
) -> list[Step]:
    """Two crosses sewn onto the bare stabiliser in the first hooping: one in the middle of the
    field, the other straight above it as the hoop stands (`upwards`, to the left or up on the
    block), as far as `box` reaches."""
    to_corner = np.array([box[0] - centre[0], box[1] - centre[1]])
    above = np.array(centre) + np.array(upwards) * (float(np.array(upwards) @ to_corner) - ARM_MM)
    words = (
        "Lay the block on the stabiliser: of its printed template the middle on the first cross, "
        "the line from there to the top of the hoop through the second. Pin it well outside the "
        "field; never sew over pins."
    )
    places = [centre, (float(above[0]), float(above[1]))]
    return _ending_with([_step("align", _sewn(place), thread) for place in places], words)


def pricked_steps(crosses: Sequence[Cross]) -> list[Step]:
    """Those crosses for later hoopings that are pricked without thread."""
    pricked = [cross for cross in crosses if cross.making == "needle"]
    return [_step("align", _traced(cross.place), UNTHREADED) for cross in pricked]


def sewn_steps(crosses: Sequence[Cross], thread: Thread) -> list[Step]:
    """Those crosses for later hoopings that nobody sees in the end, sewn in a thread."""
    sewn = [cross for cross in crosses if cross.making == "thread"]
    return [_step("align", _sewn(cross.place), thread) for cross in sewn]


def box_step(box: BoxMm, thread: Thread) -> Step:
    """A rectangle of long stitches along a box."""
    left, top, right, bottom = box
    corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    line = running(corners, closed=True, length_mm=BASTING_MM)
    return _step("baste", tied(line, line, line[::-1], TIE_MM), thread)


def _traced(place: tuple[float, float]) -> np.ndarray:
    """Needle points out along each arm of a cross and back to its middle, (n, 2)."""
    points = [np.zeros(2)]
    for arm in _ARMS:
        points += [arm / 2, arm, arm / 2, np.zeros(2)]
    return np.array(points) + np.array(place)


def _sewn(place: tuple[float, float]) -> np.ndarray:
    """A cross sewn with thread, tied at both ends."""
    points = _traced(place)
    return tied(points, points[:3], points[::-1][:3], TIE_MM)


def _step(kind: StepKind, path: np.ndarray, thread: Thread, pause: str = "") -> Step:
    return Step(kind=kind, piece="", thread=thread, paths=(path,), links=("trim",), pause=pause)


def _ending_with(steps: list[Step], words: str) -> list[Step]:
    """Steps after the last of which something more is to be done."""
    if steps:
        pause = f"{steps[-1].pause} {words}".strip()
        steps[-1] = replace(steps[-1], pause=pause)
    return steps
