"""Finding a time in a full term, and the order of a day of visits at random places."""

from __future__ import annotations

import random
import time
from datetime import date, timedelta

from lessons.planning.day_times import DayVisit
from lessons.planning.find_time import TeachingDay, Wanted, find_times
from lessons.planning.openings import Busy, Ways, Window
from lessons.planning.reorder import best_order
from tests.bench.timing import heading, line

VISITS = 14
DAYS = 9
FINDS = 60
WIDTHS = ((30, "half an hour"), (90, "an hour and a half"), (None, "no hours at all"))


def run() -> None:
    """Find times in full terms; order days of fourteen visits, each with another seed."""
    _find()
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


def _find() -> None:
    heading("Find a time: 60 weekly lessons, 20 weeks, everything open, every quarter of an hour")
    roads = {(a, b): 5 + (a * 7 + b * 11) % 20 for a in range(30) for b in range(30) if a != b}
    seconds = []
    for seed in range(FINDS):
        dice = random.Random(seed)
        days = _term(dice)
        windows = tuple(Window(weekday, 9 * 60, 21 * 60) for weekday in range(6))
        start = time.perf_counter()
        found = find_times(Wanted(30, dice.randrange(30), windows), days, Ways(roads, base=0))
        seconds.append(time.perf_counter() - start)
    seconds.sort()
    line(
        "search",
        f"median {seconds[FINDS // 2] * 1000:7.1f} ms   "
        f"95 % {seconds[int(FINDS * 0.95) - 1] * 1000:7.1f} ms   ({len(found.openings)} openings)",
    )


def _term(dice: random.Random) -> dict[date, TeachingDay]:
    """Ten lessons on each of six weekdays, one of them missing on one date in ten."""
    days = {}
    for weekday in range(6):
        starts = sorted(dice.sample(range(18, 42), 10))
        usual = [
            Busy(start * 30, start * 30 + 30, dice.randrange(30), f"lesson {start}", start)
            for start in starts
        ]
        for week in range(20):
            day = date(2026, 9, 7) + timedelta(weeks=week, days=weekday)
            kept = [busy for busy in usual if dice.random() > 0.01]
            days[day] = TeachingDay(tuple(kept), ((9 * 60, 21 * 60),))
    return days


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
