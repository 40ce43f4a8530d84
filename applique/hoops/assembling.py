"""From the search's answer to the plan: every hooping with its field, stitches and crosses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from applique.hoops.boxes import box_of, box_of_steps, box_round
from applique.hoops.by_machine import line_within, moments
from applique.hoops.filed import centre_on_steps
from applique.hoops.layered import Layered
from applique.hoops.lining.crosses import Lining, line_up
from applique.hoops.lining.ground import Ground
from applique.hoops.lining.misreading import corners_of, expected_error_mm
from applique.hoops.lining.sequence import in_sequence
from applique.hoops.parts import Part, fits_one
from applique.hoops.placing import placed
from applique.hoops.plan import Hooping, HoopingPlan
from applique.hoops.problem import BoxMm, Grouping, Problem
from applique.hoops.request import HoopRequest, Placing
from applique.hoops.sewing import Sewn, Standing, lined_up, sewn_in
from applique.model import Block, LaidPiece, Step

BOX_ROUND_MM = 3.0
"""A basting box lies so far outside everything else, as far as the field has room for it."""


@dataclass(frozen=True, eq=False)
class _Share:
    """What one hooping sews, the box of its stitches, and the field taken for it."""

    parts: tuple[Part, ...]
    sewn: Sewn
    box: BoxMm
    placing: Placing


def assembled(
    layered: Layered,
    parts: Sequence[Part],
    on_machine: frozenset[str],
    problem: Problem,
    grouping: Grouping,
    request: HoopRequest,
) -> HoopingPlan:
    """The plan that follows from a grouping of the parts."""
    block = layered.block
    if not request.fixed:
        grouping = _well_sequenced(problem, grouping, request)
    after = _moments(layered, parts, on_machine, grouping)
    shares = _with_lines(_shares(layered, parts, grouping, request), layered, after)
    grounds = [
        _ground(number, share, layered, after, request)
        for number, share in enumerate(shares, start=1)
    ]
    lining = line_up(grounds, _seam(block), request.reading_mm)
    hoopings = tuple(
        _hooping(number, share, lining, request, block.centre)
        for number, share in enumerate(shares, start=1)
    )
    return HoopingPlan(
        name=block.name,
        frame=block.frame,
        block_centre=block.centre,
        hoopings=hoopings,
        crosses=lining.crosses,
        parts=tuple(part.name for part in parts),
        certificate=grouping.certificate,
        bound=grouping.bound,
        finished=grouping.finished,
        by_machine=tuple((label, latest) for label, (_, latest) in after.items()),
        boxes=tuple(part.box for part in parts),
        windows=problem.windows,
        below=tuple(map(tuple, problem.below)),
        apart=tuple(map(tuple, problem.apart)),
    )


def _well_sequenced(problem: Problem, grouping: Grouping, request: HoopRequest) -> Grouping:
    """The same hoopings in a sequence in which each can be lined up with an earlier one."""
    at = np.array(grouping.hooping)
    boxes = [box_of(problem.boxes[at == number].reshape(-1, 2)) for number in range(grouping.count)]
    windows = [_placing_for(box, request).window for box in boxes]
    waits_for: list[set[int]] = [set() for _ in boxes]
    for index, number in enumerate(grouping.hooping):
        lowers = (*problem.below[index], *problem.apart[index])
        waits_for[number].update(grouping.hooping[lower] for lower in lowers)
    waiting = [frozenset(found - {number}) for number, found in enumerate(waits_for)]
    order = in_sequence(boxes, windows, waiting)
    return replace(grouping, hooping=tuple(order.index(number) for number in grouping.hooping))


def _placing_for(box: BoxMm, request: HoopRequest) -> Placing:
    """The smallest field that takes a box."""
    return next(way for way in request.placings if fits_one(box, [way.window]))


def _shares(
    layered: Layered, parts: Sequence[Part], grouping: Grouping, request: HoopRequest
) -> list[_Share]:
    """What each hooping sews."""
    shares = []
    begun: set[str] = set()
    for number in range(grouping.count):
        own = tuple(p for p, at in zip(parts, grouping.hooping, strict=True) if at == number)
        sewn = sewn_in(own, frozenset(begun), request.order, layered)
        begun.update(part.label for part in own)
        box = box_of_steps(sewn.steps)
        shares.append(_Share(own, sewn, box, _placing_for(box, request)))
    return shares


def _moments(
    layered: Layered, parts: Sequence[Part], on_machine: frozenset[str], grouping: Grouping
) -> dict[str, tuple[int, int]]:
    """When each piece on the sewing machine can be sewn: see `by_machine.moments`."""
    first: dict[str, int] = {}
    last: dict[str, int] = {}
    for part, at in zip(parts, grouping.hooping, strict=True):
        first[part.label] = min(first.get(part.label, at + 1), at + 1)
        last[part.label] = max(last.get(part.label, 0), at + 1)
    in_order = [it.part.label for it in layered.laid if it.part.label in on_machine]
    return moments(in_order, layered.before, first, last, grouping.count)


def _with_lines(
    shares: Sequence[_Share], layered: Layered, after: Mapping[str, tuple[int, int]]
) -> list[_Share]:
    """The shares with the placement lines of the pieces on the sewing machine: each sewn in that of
    the hoopings before it whose field takes most of it."""
    result = list(shares)
    for label, (_, latest) in after.items():
        # Not under a piece that is itself sewn on the machine, and only then.
        beneath = layered.before.get(label, frozenset()) & after.keys()
        earliest = max([after[label][0] - 1, 0, *(after[lower][1] for lower in beneath)])
        steps = [step for step in layered.steps_of(label) if step.kind == "placement"]
        best: tuple[int, int, Step] | None = None
        for index in range(earliest, latest):
            share = result[index]
            thread = share.sewn.steps[-1].thread
            line = line_within(steps, share.box, share.placing.window, thread) if steps else None
            length = sum(map(len, line.paths)) if line is not None else 0
            if line is not None and (best is None or length > best[0]):
                best = (length, index, line)
        if best is not None:
            _, index, line = best
            share = result[index]
            sewn = replace(share.sewn, steps=(*share.sewn.steps, line))
            result[index] = replace(share, sewn=sewn, box=box_of_steps(sewn.steps))
    return result


def _hooping(
    number: int,
    share: _Share,
    lining: Lining,
    request: HoopRequest,
    block_centre: tuple[float, float],
) -> Hooping:
    """One hooping with its crosses and its basting box, in the middle of its field."""
    used = [cross for cross in lining.crosses if number in cross.used_in]
    own = [cross for cross in lining.crosses if cross.made_in == number]
    made = [cross for cross in own if cross.making != "pen"]
    box = lining.boxes[number - 1]
    if request.hold != "hooped":
        box = _with_room(box, share.placing.window)
    centre = centre_on_steps(placed(box, share.placing.window, request.kept_out), block_centre)
    upwards = (-1.0, 0.0) if share.placing.turned else (0.0, -1.0)
    steps = lined_up(share.sewn.steps, used, made, request.hold, Standing(centre, upwards, box))
    chain = lining.chains[number - 1]
    error = expected_error_mm(chain, corners_of(share.box), request.reading_mm).max()
    return Hooping(
        number=number,
        field=share.placing.field,
        turned=share.placing.turned,
        centre=centre,
        labels=share.sewn.labels,
        continued=share.sewn.continued,
        steps=steps,
        crosses_made=tuple(cross.name for cross in made),
        crosses_used=tuple(cross.name for cross in used),
        error_mm=float(error),
    )


def _ground(
    number: int,
    share: _Share,
    layered: Layered,
    after: Mapping[str, tuple[int, int]],
    request: HoopRequest,
) -> Ground:
    """What decides where a hooping's crosses may lie. What is sewn on the machine before the first
    hooping counts as laid in it."""
    laid = [
        part.laid.cut
        for part in share.parts
        if isinstance(part.laid, LaidPiece) and part.label not in share.sewn.continued
    ]
    by_machine = {label: latest for label, (_, latest) in after.items()}
    on_machine = [
        (by_machine[item.part.label], item.cut)
        for item in layered.laid
        if isinstance(item, LaidPiece) and item.part.label in by_machine
    ]
    laid += [cut for moment, cut in on_machine if moment == 0 and number == 1]
    later = [cut for moment, cut in on_machine if moment == number]
    window = share.placing.window
    within = None
    if request.keep_out:
        within = box_round(placed(share.box, window, request.kept_out), window)
    return Ground(share.box, window, shapely.union_all(laid), shapely.union_all(later), within)


def _seam(block: Block) -> shapely.Geometry | None:
    frame = block.frame
    if frame is None:
        return None
    return shapely.box(frame.left, frame.top, frame.right, frame.bottom)


def _with_room(box: BoxMm, window: tuple[float, float]) -> BoxMm:
    """A box somewhat larger, as far as a window has room."""
    left, top, right, bottom = box
    across = min(BOX_ROUND_MM, max(0.0, (window[0] - (right - left)) / 2))
    down = min(BOX_ROUND_MM, max(0.0, (window[1] - (bottom - top)) / 2))
    return left - across, top - down, right + across, bottom + down
