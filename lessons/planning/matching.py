"""The cheapest matching of rows to columns, and the prices that prove it.

The Hungarian method with potentials (H. W. Kuhn, Naval Research Logistics Quarterly 2, 1955; the
shortest augmenting path form of R. Jonker and A. Volgenant, Computing 38, 1987), in whole numbers.
"""

from __future__ import annotations

from collections.abc import Sequence


def prices(costs: Sequence[Sequence[int]]) -> tuple[list[int], list[int]]:
    """Return a price for each row and each column of a square table of costs.

    No row's and column's price together exceed their cost, and all prices together are what the
    cheapest matching costs.
    """
    size = len(costs)
    unreached = 1 + max((max(row) for row in costs), default=0) * (size + 1)
    rows, columns = [0] * (size + 1), [0] * (size + 1)
    row_of = [0] * (size + 1)
    for row in range(1, size + 1):
        row_of[0] = row
        here = 0
        least, came_from = [unreached] * (size + 1), [0] * (size + 1)
        is_done = [False] * (size + 1)
        while row_of[here]:
            is_done[here] = True
            at, step, following = row_of[here], unreached, 0
            for column in range(1, size + 1):
                if is_done[column]:
                    continue
                spare = costs[at - 1][column - 1] - rows[at] - columns[column]
                if spare < least[column]:
                    least[column], came_from[column] = spare, here
                if least[column] < step:
                    step, following = least[column], column
            for column in range(size + 1):
                if is_done[column]:
                    rows[row_of[column]] += step
                    columns[column] -= step
                else:
                    least[column] -= step
            here = following
        while here:
            row_of[here] = row_of[came_from[here]]
            here = came_from[here]
    return rows[1:], columns[1:]
