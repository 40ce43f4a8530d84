"""The solver in a process of its own, so that it can be stopped at any moment and may fail.

It is started as a file, without the package, and reads a job from its input, as one line of JSON;
it writes every feasible layout it finds, one a line. If it fails it ends without a word. A job:

    height        of the strip, mm
    items         [[points, angles or null], ...]; the place in the list is the item's number
    seconds       [exploring, compressing], whole numbers
    workers, seed

A layout: {"width": mm, "placed": [[number, degrees, x, y], ...]}.
"""

from __future__ import annotations

import json
import signal
import sys
import threading
from typing import Any

import spyrrow

_LOOKS_EVERY_S = 0.05
_FEASIBLE = (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas)


def main() -> None:
    """Solve the job."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for who has started it.
    job = json.loads(sys.stdin.readline())
    items = [
        spyrrow.Item(str(number), [tuple(point) for point in points], 1, angles)
        for number, (points, angles) in enumerate(job["items"])
    ]
    exploring, compressing = job["seconds"]
    config = spyrrow.StripPackingConfig(
        early_termination=False,
        total_computation_time=None,
        exploration_time=exploring,
        compression_time=compressing,
        num_workers=job["workers"],
        seed=job["seed"],
    )
    queue = spyrrow.ProgressQueue()
    thread = threading.Thread(target=_run, args=(job["height"], items, config, queue), daemon=True)
    thread.start()
    while thread.is_alive():
        thread.join(_LOOKS_EVERY_S)
        _tell(queue)
    _tell(queue)


def _run(height: float, items: list[Any], config: Any, queue: Any) -> None:
    try:
        final = spyrrow.StripPackingInstance("", height, items).solve(config, queue)
    except BaseException:  # A panic of the solver is no Exception.
        return
    _write(_layout(final))


def _tell(queue: Any) -> None:
    """Write the last feasible layout that came since."""
    feasible = [layout for kind, layout in queue.drain() if kind in _FEASIBLE]
    if feasible:
        _write(_layout(feasible[-1]))


def _layout(found: Any) -> dict[str, Any]:
    placed = [[int(it.id), it.rotation, *it.translation] for it in found.placed_items]
    return {"width": found.width, "placed": placed}


def _write(told: dict[str, Any]) -> None:
    print(json.dumps(told), flush=True)


if __name__ == "__main__":
    main()
