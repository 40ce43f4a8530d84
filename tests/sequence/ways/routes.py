"""The shortest routes there can be, by means of our own outside the package."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order, connected_components, maximum_flow


def length_mm(
    starts: np.ndarray, ends: np.ndarray, order: Sequence[int], here: np.ndarray | None = None
) -> float:
    """The needle's way between things sewn in an order."""
    order = list(order)
    ways = [np.hypot(*(starts[b] - ends[a])) for a, b in pairwise(order)]
    first = 0.0 if here is None else float(np.hypot(*(starts[order[0]] - here)))
    return first + float(sum(ways))


def shortest_possible_mm(starts: np.ndarray, ends: np.ndarray) -> float:
    """The shortest open route: integer programming over directed ways, one into and one out of
    each thing and a place 0 away from all; closed circles are forbidden as they turn up (Dantzig,
    Fulkerson, Johnson 1954)."""
    count = len(starts) + 1
    ways = np.zeros((count, count))
    ways[:-1, :-1] = np.hypot(*np.moveaxis(starts[None] - ends[:, None], 2, 0))
    a, b = np.nonzero(~np.eye(count, dtype=bool))
    once = np.vstack([a == k for k in range(count)] + [b == k for k in range(count)])
    rules = [LinearConstraint(once.astype(float), 1, 1)]
    while True:
        found = milp(
            ways[a, b], integrality=np.ones(len(a)), bounds=Bounds(0, 1), constraints=rules
        )
        chosen = found.x > 0.5
        links = csr_array((np.ones(chosen.sum()), (a[chosen], b[chosen])), shape=(count, count))
        circles, circle = connected_components(links, directed=False)
        if circles == 1:
            return float(found.fun)
        for number in range(circles):
            inside = circle == number
            within = (inside[a] & inside[b]).astype(float)
            rules.append(LinearConstraint(within[None], -np.inf, inside.sum() - 1))


def shortest_through_mm(points: np.ndarray) -> float:
    """The same for (n, 2) points in mm, where ways are as long in both directions: two ways at each
    point; cuts are first found for fractions of ways, which is quick."""
    count = len(points) + 1
    a, b = np.triu_indices(count, 1)
    inner = b < count - 1
    ways = np.zeros(len(a))
    ways[inner] = np.hypot(*(points[a[inner]] - points[b[inner]]).T)
    twice = np.vstack([(a == k) | (b == k) for k in range(count)]).astype(float)
    rules = [LinearConstraint(csr_array(twice), 2, 2)]
    whole = 0
    while True:
        kinds = np.full(len(a), whole)
        found = milp(ways, integrality=kinds, bounds=Bounds(0, 1), constraints=rules)
        sides = _loose_sides(found.x, a, b, count)
        if not sides and whole:
            return float(found.fun)
        whole = whole if sides else 1
        for inside in sides:
            crossing = (inside[a] != inside[b]).astype(float)
            rules.append(LinearConstraint(csr_array(crossing[None]), 2, np.inf))


def _loose_sides(share: np.ndarray, a: np.ndarray, b: np.ndarray, count: int) -> list[np.ndarray]:
    """Sets of points that ways of together less than two lead out of: closed circles and, by the
    least cuts between the first point and each other one, what hangs together too loosely."""
    used = share > 1e-6
    units = np.rint(share[used] * 10_000).astype(np.int32)
    ends = np.concatenate([a[used], b[used]]), np.concatenate([b[used], a[used]])
    links = csr_array((np.concatenate([units, units]), ends), shape=(count, count))
    circles, circle = connected_components(links, directed=False)
    if circles > 1:
        return [circle == number for number in range(circles)]
    sides: list[np.ndarray] = []
    for other in range(1, count):
        if any(side[0] != side[other] for side in sides):
            continue
        flow = maximum_flow(links, 0, other)
        if flow.flow_value < 19_990:
            spare = links - flow.flow
            spare.data[spare.data < 0] = 0
            spare.eliminate_zeros()
            reached = breadth_first_order(spare, 0, return_predecessors=False)
            sides.append(np.isin(np.arange(count), reached))
    return sides


def lower_bound_mm(points: np.ndarray, upper_mm: float, rounds: int = 1_500) -> float:
    """A lower bound for open routes through (n, 2) points in mm, however long the search: the
    longest of the shortest 1-trees over weights of the points (Held, Karp 1970), which tends to the
    bound of linear programming with all cuts against closed circles. The tree's special point is 0
    away from all. `upper_mm` is the length of some route."""
    between = np.hypot(*np.moveaxis(points[None] - points[:, None], 2, 0))
    weight, best_weight = np.zeros(len(points)), np.zeros(len(points))
    best, step, in_vain, last = -np.inf, 2.0, 0, np.zeros(len(points))
    for _ in range(rounds):
        tree_mm, degree = _least_tree(between + weight[:, None] + weight[None])
        ends = np.argsort(weight)[:2]
        degree[ends] += 1
        bound = tree_mm + weight[ends].sum() - 2 * weight.sum()
        if bound > best + 1e-6 * upper_mm:
            best, best_weight, in_vain = bound, weight, 0
        else:
            in_vain += 1
        off = degree - 2.0
        if not off.any():
            return float(best)
        if in_vain == 20:
            step, in_vain, weight, last = step * 0.7, 0, best_weight, np.zeros(len(points))
            continue
        weight = weight + step * (upper_mm - bound) / (off @ off) * (0.7 * off + 0.3 * last)
        last = off
    return float(best)


def _least_tree(between: np.ndarray) -> tuple[float, np.ndarray]:
    """Length of the least spanning tree and its ways at each point (Prim 1957)."""
    count = len(between)
    degree = np.zeros(count)
    outside = np.ones(count, dtype=bool)
    outside[0] = False
    away, nearest, total = between[0].copy(), np.zeros(count, dtype=int), 0.0
    for _ in range(count - 1):
        chosen = int(np.argmin(np.where(outside, away, np.inf)))
        total += away[chosen]
        degree[[chosen, nearest[chosen]]] += 1
        outside[chosen] = False
        nearer = outside & (between[chosen] < away)
        away[nearer], nearest[nearer] = between[chosen][nearer], chosen
    return total, degree
