"""The path whose hardest step is the least hard, on any graph.

Among such paths the shortest is taken, and among those the one whose nodes, read backwards from the
goal, come first in the given order, so that the answer is one and the same everywhere. Steps only
ever lead to a node at least as hard.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Iterable
from heapq import heappop, heappush
from typing import Any, TypeVar

N = TypeVar("N", bound=Hashable)


def minimax_path(
    start: N,
    goal: N,
    after: Callable[[N], Iterable[N]],
    height: Callable[[N], int],
    order: Callable[[N], Any],
) -> list[N] | None:
    """Return the nodes of the path from ``start`` to ``goal``, or None if there is none.

    ``height`` is how hard a node is, a whole number, so that comparisons are exact; a step is as
    hard as the heights differ. Steps downwards, and to nodes higher than the goal, are never taken.
    """
    if start == goal:
        return [start]
    top = height(goal)

    def steps(node: N) -> list[N]:
        low = height(node)
        return [one for one in after(node) if low <= height(one) <= top]

    known: dict[N, list[N]] = {}
    hardest = _hardest_step(start, goal, steps, height, known)
    if hardest is None:
        return None
    return _shortest(start, goal, hardest, known, height, order)


def _hardest_step(
    start: N,
    goal: N,
    steps: Callable[[N], list[N]],
    height: Callable[[N], int],
    known: dict[N, list[N]],
) -> int | None:
    """The least possible hardest step: Dijkstra's algorithm with "the larger of" in place of sums.

    Goes on past the goal until every node reached by steps no harder is in ``known``.
    """
    best = {start: 0}
    queue = [(0, 0, start)]
    serial = 0
    hardest: int | None = None
    while queue:
        so_far, _, node = heappop(queue)
        if hardest is not None and so_far > hardest:
            break
        if so_far > best[node] or node in known:
            continue
        if node == goal:
            hardest = so_far
        known[node] = steps(node)
        for one in known[node]:
            worst = max(so_far, height(one) - height(node))
            if worst < best.get(one, worst + 1):
                best[one] = worst
                serial += 1
                heappush(queue, (worst, serial, one))
    return hardest


def _shortest(
    start: N,
    goal: N,
    hardest: int,
    known: dict[N, list[N]],
    height: Callable[[N], int],
    order: Callable[[N], Any],
) -> list[N]:
    """The shortest path with no step harder than ``hardest``.

    ``known`` holds the steps from every node that such steps reach.
    """
    distance = {start: 0}
    before: dict[N, list[N]] = {}
    waiting = deque([start])
    while waiting:
        node = waiting.popleft()
        for one in known.get(node, ()):
            if height(one) - height(node) > hardest:
                continue
            before.setdefault(one, []).append(node)
            if one not in distance:
                distance[one] = distance[node] + 1
                waiting.append(one)
    path = [goal]
    while path[-1] != start:
        here = path[-1]
        nearer = [node for node in before[here] if distance[node] == distance[here] - 1]
        path.append(min(nearer, key=order))
    return path[::-1]


def rising_path(
    start: N,
    goal: N,
    after: Callable[[N], Iterable[N]],
    height: Callable[[N], int],
    order: Callable[[N], Any],
    *,
    steps: int,
) -> list[N] | None:
    """Return the path of exactly ``steps`` steps, each of them upwards, whose hardest is least.

    Layer by layer: for every node that so many upward steps reach, the least hardest step and the
    node before it (of equal ones the first in the given order). None when there is no such path.
    """
    top = height(goal)
    layers: list[dict[N, tuple[int, N]]] = [{start: (0, start)}]
    for _ in range(steps):
        layer: dict[N, tuple[int, N]] = {}
        for node, (worst, _) in sorted(layers[-1].items(), key=lambda pair: order(pair[0])):
            low = height(node)
            for one in after(node):
                rise = height(one) - low
                if rise <= 0 or height(one) > top or (one != goal and height(one) == top):
                    continue
                new = max(worst, rise)
                if one not in layer or new < layer[one][0]:
                    layer[one] = (new, node)
        layers.append(layer)
    if goal not in layers[-1]:
        return None
    path = [goal]
    for layer in reversed(layers[1:]):
        path.append(layer[path[-1]][1])
    return path[::-1]
