"""Orders of a day against public instances of the travelling salesman with time windows.

N. Ascheuer, M. Fischetti and M. Groetschel, Mathematical Programming 90, 2001 (rbg...); Y. Dumas,
J. Desrosiers, E. Gelinas and M. M. Solomon, Operations Research 43, 1995 (n20...); best known
values as collected with the instances, all of them proven.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from lessons.planning.day_times import DayVisit
from lessons.planning.reorder import DayOrder, best_order

PROVEN = {
    "rbg010a.tw": 671,
    "rbg016a.tw": 938,
    "rbg016b.tw": 1304,
    "n20w20.001.txt": 378,
}


def solved(matrix: list[list[int]], windows: list[tuple[int, int]]) -> DayOrder:
    """Order the nodes, from node 0 and back to it; the service is in the roads already."""
    count = len(matrix)
    roads = {(a, b): matrix[a][b] for a in range(count) for b in range(count) if a != b}
    visits = [
        DayVisit(n, 0, n, windows[n][0], windows[n][0], windows[n][1]) for n in range(1, count)
    ]
    return best_order(visits, roads, starts_from=0, ends_at=0, begins=windows[0][0])


@pytest.mark.parametrize("name", PROVEN)
def test_reaches_the_proven_optimum(shared_checks: Path, name: str) -> None:
    words = iter((shared_checks / "tsptw" / name).read_text().split())
    count = int(next(words))
    matrix = [[int(float(next(words))) for _ in range(count)] for _ in range(count)]
    windows = [(int(next(words)), int(next(words))) for _ in range(count)]

    found = solved(matrix, windows)

    assert found.is_proven
    assert found.driving == PROVEN[name]


def test_the_worked_example() -> None:
    """Four nodes, small enough to check by hand; collected with the instances."""
    matrix = [[0, 3, 5, 4], [3, 0, 2, 6], [5, 2, 0, 3], [7, 6, 3, 0]]
    windows = [(0, 100), (5, 20), (8, 12), (10, 30)]

    found = solved(matrix, windows)

    assert found.keys == (1, 2, 3)
    assert found.driving == 15
    without = solved(matrix, [(0, 1000)] * 4)
    assert without.driving == 12
