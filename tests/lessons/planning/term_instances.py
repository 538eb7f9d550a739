"""Made-up terms with a full timetable hidden in them, so that one is known to exist."""

from __future__ import annotations

import random
from dataclasses import replace

from lessons.planning.term.problem import Day, Job, Start, TermProblem, Weights

ROOM = 0
SCHOOLS = (1, 2)
GRID = 15


def planted(
    students: int, seed: int, *, share_with_present: float = 0.0
) -> tuple[TermProblem, dict[str, Start]]:
    """Return a term of so many students, or the few less that fit, and a timetable of them all.

    Seven in twenty live in four towns up to 12 km away, an eighth is taught at two schools that
    have their days, the others come to the room. Each has twenty to twenty-five starts on two or
    three days, the hidden one among them. With a present timetable, most of it is the hidden one
    and some lost their window since.
    """
    dice = random.Random(seed)
    positions = _positions(dice, students)
    roads = {
        (a, b): int(4 + 1.9 * ((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2) ** 0.5)
        for a, p in positions.items()
        for b, q in positions.items()
        if a != b
    }
    days = _days(5 if students <= 45 else 6)
    hidden: dict[str, Start] = {}
    jobs: list[Job] = []
    for day, route in zip(days, _routes(dice, students, positions, days, roads), strict=True):
        for number, place, minutes, start in route:
            key = f"S{number:02}"
            hidden[key] = Start(day.weekday, start)
            jobs.append(_job(dice, key, place, minutes, hidden[key], days))
    if share_with_present:
        jobs = [_with_present(dice, job, hidden[job.key], share_with_present) for job in jobs]
    jobs.sort(key=lambda job: job.key)
    problem = TermProblem(tuple(jobs), days, roads, buffer=3, weights=Weights(), grid=GRID)
    return problem, hidden


def _days(count: int) -> tuple[Day, ...]:
    """Afternoons of the week, then a Saturday from the morning."""
    return tuple(
        Day(
            weekday,
            ((9 * 60, 15 * 60),) if weekday == 5 else ((13 * 60, 20 * 60),),
            most_minutes=450,
            starts_from=ROOM,
            ends_at=ROOM,
        )
        for weekday in range(count)
    )


def _positions(dice: random.Random, students: int) -> dict[int, tuple[float, float]]:
    """The room, two schools, and a home for every student, in four towns."""
    towns = [(dice.uniform(-10, 10), dice.uniform(-10, 10)) for _ in range(4)]
    places = {ROOM: (0.0, 0.0), SCHOOLS[0]: towns[0], SCHOOLS[1]: (2.0, 3.0)}
    for number in range(students):
        x, y = dice.choice(towns)
        places[10 + number] = (x + dice.gauss(0, 1), y + dice.gauss(0, 1))
    return places


def _routes(
    dice: random.Random,
    students: int,
    positions: dict[int, tuple[float, float]],
    days: tuple[Day, ...],
    roads: dict[tuple[int, int], int],
) -> list[list[tuple[int, int, int, int]]]:
    """Days filled one visit after another: number, place, minutes, start."""
    left = []
    for number in range(students):
        kind = dice.random()
        place = ROOM if kind < 0.52 else 10 + number if kind < 0.87 else SCHOOLS[int(kind > 0.935)]
        left.append((number, place, dice.choice((30, 30, 30, 30, 45, 60))))
    # Whole places, and whole towns, go to a day one after another, as a sensible teacher drives.
    left.sort(key=lambda one: (one[1] != ROOM, positions[one[1]], one[0]))
    share = -(-students // len(days))
    chunks: list[list[tuple[int, int, int]]] = [[] for _ in days]
    for at, one in enumerate(left):
        chunks[at % len(days) if one[1] == ROOM else min(at // share, len(days) - 1)].append(one)
    routes: list[list[tuple[int, int, int, int]]] = []
    spill: list[tuple[int, int, int]] = []
    for day, chunk in zip(days, chunks, strict=True):
        route: list[tuple[int, int, int, int]] = []
        spill = _filled(dice, day, chunk + spill, route, roads)
        routes.append(route)
    for day, route in zip(days, routes, strict=True):
        spill = _filled(dice, day, spill, route, roads)
    return routes


def _filled(
    dice: random.Random,
    day: Day,
    wanting: list[tuple[int, int, int]],
    route: list[tuple[int, int, int, int]],
    roads: dict[tuple[int, int], int],
) -> list[tuple[int, int, int]]:
    """Append to the day what fits, and return what did not."""
    (begins, ends), spill = day.spans[0], []
    for number, place, minutes in wanting:
        now = begins
        if route:
            _, here, length, start = route[-1]
            now = start + length + (roads[here, place] + 3 if here != place else 0)
        start = -(-now // GRID) * GRID + (GRID if dice.random() < 0.15 else 0)
        if start + minutes > ends or sum(one[2] for one in route) + minutes > day.most_minutes:
            spill.append((number, place, minutes))
        else:
            route.append((number, place, minutes, start))
    return spill


def _job(
    dice: random.Random, key: str, place: int, minutes: int, at: Start, days: tuple[Day, ...]
) -> Job:
    weekdays = [day.weekday for day in days]
    chosen = [at.weekday]
    if place not in SCHOOLS:
        chosen += dice.sample([w for w in weekdays if w != at.weekday], dice.choice((1, 2)))
    starts: set[Start] = {at}
    each = dice.randint(20, 25) // len(chosen)
    for weekday in chosen:
        begins, ends = days[weekdays.index(weekday)].spans[0]
        last = ends - minutes
        first = begins + GRID * dice.randrange(max(1, (last - begins) // GRID - each + 2))
        if weekday == at.weekday:
            first = min(max(first, at.minute - GRID * (each - 1)), at.minute)
        starts |= {
            Start(weekday, m) for m in range(first, min(last, first + GRID * (each - 1)) + 1, GRID)
        }
    best = dice.choice(chosen)
    liked = frozenset(start for start in starts if start.weekday == best)
    return Job(key, (key,), minutes, place, tuple(sorted(starts)), preferred=liked)


def _with_present(dice: random.Random, job: Job, at: Start, share: float) -> Job:
    """A present time for nine in ten: the hidden one for most, one lost since for some."""
    if dice.random() < 0.1:
        return job
    return replace(job, present=at if dice.random() < share else dice.choice(job.starts))
