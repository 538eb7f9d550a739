"""The order of a day: visits at random places, with and without promised hours."""

from __future__ import annotations

import random
import time

from lessons.planning.day_times import DayVisit
from lessons.planning.reorder import best_order
from tests.bench.timing import heading, line

VISITS = 14
DAYS = 9
WIDTHS = ((30, "half an hour"), (90, "an hour and a half"), (None, "no hours at all"))


def run() -> None:
    """Order days of fourteen visits, each with another seed."""
    heading(f"A day of {VISITS} visits in the order that drives least (proven)")
    for width, words in WIDTHS:
        seconds, proven, saved = [], 0, 0.0
        for seed in range(DAYS):
            visits, roads, today = _day(seed, width)
            start = time.perf_counter()
            found = best_order(visits, roads, starts_from=0, ends_at=0, grid=5)
            seconds.append(time.perf_counter() - start)
            proven += found.is_proven
            saved += 1 - found.driving / today
        seconds.sort()
        line(
            f"promised within {words}" if width else words,
            f"median {seconds[DAYS // 2] * 1000:7.1f} ms   most {seconds[-1] * 1000:7.1f} ms   "
            f"proven {proven} of {DAYS}   driving saved {100 * saved / DAYS:.0f} %",
        )


def _day(seed: int, width: int | None) -> tuple[list[DayVisit], dict[tuple[int, int], int], int]:
    dice = random.Random(seed)
    places = [(dice.uniform(0, 20), dice.uniform(0, 20)) for _ in range(VISITS + 1)]
    roads = {
        (a, b): int(4 + 2 * ((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2) ** 0.5)
        for a, p in enumerate(places)
        for b, q in enumerate(places)
        if a != b
    }
    order = list(range(1, VISITS + 1))
    dice.shuffle(order)
    now, here, driven, visits = 480, 0, 0, []
    for place in order:
        now += roads[here, place]
        driven += roads[here, place]
        at = -(-now // 5) * 5
        opens, latest = (max(0, at - width), at + width) if width else (0, 1400)
        visits.append(DayVisit(place, 30, place, at, opens, latest))
        now, here = at + 30, place
    return visits, roads, driven + roads[here, 0]
