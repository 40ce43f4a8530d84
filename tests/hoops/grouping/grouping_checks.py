"""What the tests of the search share: the rules of a plan, and an independent solver, CP-SAT of
OR-Tools, that places the windows itself."""

import numpy as np
from ortools.sat.python import cp_model

from applique.hoops.problem import Grouping, Problem


def problem_of(boxes, windows, below=None, apart=None, **more) -> Problem:
    nothing = [()] * len(boxes)
    return Problem(
        np.array(boxes, dtype=float).reshape(-1, 4),
        windows,
        below or nothing,
        apart or nothing,
        more.pop("colours", ["red"] * len(boxes)),
        **more,
    )


def is_valid(problem: Problem, grouping: Grouping) -> bool:
    """From the definition: every hooping's parts fit into one window, and the order holds."""
    hooping = np.array(grouping.hooping)
    for number in range(grouping.count):
        boxes = problem.boxes[hooping == number]
        if len(boxes) and not fits(boxes, problem):
            return False
    for part, number in enumerate(grouping.hooping):
        if any(grouping.hooping[lower] > number for lower in problem.below[part]):
            return False
        if any(grouping.hooping[lower] >= number for lower in problem.apart[part]):
            return False
    return all(grouping.hooping[part] == number for part, number in problem.fixed.items())


def fits(boxes: np.ndarray, problem: Problem) -> bool:
    left, top = boxes[:, :2].min(axis=0)
    right, bottom = boxes[:, 2:].max(axis=0)
    for width, height in problem.windows:
        if right - left > width + 1e-6 or bottom - top > height + 1e-6:
            continue
        # In whole millimetres, as these tests have them, every place can be tried.
        if not problem.keep_out or any(
            all(
                x + width <= box[0] or x >= box[2] or y + height <= box[1] or y >= box[3]
                for box in problem.keep_out
            )
            for x in range(int(right - width), int(left) + 1)
            for y in range(int(bottom - height), int(top) + 1)
        ):
            return True
    return False


def optimum(problem: Problem) -> int | None:
    """The least number of hoopings by CP-SAT; None if there is no way. Lengths in whole mm."""
    model = cp_model.CpModel()
    boxes = problem.boxes.astype(int)
    slots = len(boxes) + 1 + max(problem.fixed.values(), default=-1)
    hooping = [model.new_int_var(0, slots - 1, f"hooping {k}") for k in range(len(boxes))]
    last = model.new_int_var(0, slots - 1, "last")
    model.add_max_equality(last, hooping)
    for slot in range(slots):
        x, y = (model.new_int_var(-500, 500, f"{axis} {slot}") for axis in "xy")
        choice = [model.new_bool_var(f"{slot} {size}") for size in problem.windows]
        model.add_exactly_one(choice)
        width = sum(size[0] * chosen for size, chosen in zip(problem.windows, choice, strict=True))
        height = sum(size[1] * chosen for size, chosen in zip(problem.windows, choice, strict=True))
        for part, (left, top, right, bottom) in enumerate(boxes.tolist()):
            inside = model.new_bool_var(f"{part} in {slot}")
            model.add(hooping[part] == slot).only_enforce_if(inside)
            model.add(hooping[part] != slot).only_enforce_if(~inside)
            model.add(x <= left).only_enforce_if(inside)
            model.add(y <= top).only_enforce_if(inside)
            model.add(x + width >= right).only_enforce_if(inside)
            model.add(y + height >= bottom).only_enforce_if(inside)
        for box in problem.keep_out:
            clear = [model.new_bool_var(f"{slot} {box} {side}") for side in range(4)]
            model.add_bool_or(clear)
            model.add(x + width <= int(box[0])).only_enforce_if(clear[0])
            model.add(x >= int(box[2])).only_enforce_if(clear[1])
            model.add(y + height <= int(box[1])).only_enforce_if(clear[2])
            model.add(y >= int(box[3])).only_enforce_if(clear[3])
    for part in range(len(boxes)):
        for lower in problem.below[part]:
            model.add(hooping[lower] <= hooping[part])
        for lower in problem.apart[part]:
            model.add(hooping[lower] < hooping[part])
    for part, number in problem.fixed.items():
        model.add(hooping[part] == number)
    model.minimize(last)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 30
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL
    return int(solver.objective_value) + 1
