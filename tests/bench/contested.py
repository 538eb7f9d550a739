"""Ten thousand bookings pressed by many processes at once, for far fewer free times."""

from __future__ import annotations

import random
import time as clock
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from datetime import date, time, timedelta
from multiprocessing import get_context

from django.core.management import call_command
from django.db import connection, connections

from lessons.models import Lesson
from lessons.planning.clashes import all_clashes
from lessons.selectors import road_book, visits_between
from studio.models import Role, Student, Studio, User
from tests.bench.timing import heading, line
from tests.lessons.race_worker import press

PROCESSES = 8
ATTEMPTS = 10_000
# Far from the demo scenario's own term, so that every time is free at first.
FIRST_DAY = date(2031, 1, 6)
DAYS = 60


def run() -> None:
    """Race, then look at every row: two lessons at once, or a road too long, would be a failure."""
    heading(f"Contested bookings ({ATTEMPTS} presses, {PROCESSES} processes, {connection.vendor})")
    call_command("migrate", verbosity=0, interactive=False)
    call_command("demo")
    before = Lesson.objects.count()
    teacher = User.objects.get(role=Role.TEACHER)
    students = list(Student.objects.order_by("pk").values_list("pk", flat=True))
    name = str(connection.settings_dict["NAME"])
    connections.close_all()
    spawn = get_context("spawn")
    with spawn.Manager() as manager, ProcessPoolExecutor(PROCESSES, mp_context=spawn) as pool:
        gate = manager.Barrier(PROCESSES + 1)
        racers = [
            pool.submit(press, name, students[n % len(students)], teacher.pk, list(_slots(n)), gate)
            for n in range(PROCESSES)
        ]
        gate.wait(timeout=120)
        begun = clock.perf_counter()
        said = [answer for racer in racers for answer in racer.result(timeout=1200)]
        seconds = clock.perf_counter() - begun
    booked = said.count("booked")
    told = sum("Not booked" in words for words in said)
    line("presses a second, all told", f"{len(said) / seconds:8.0f}")
    line("lessons booked", f"{booked:8}   (rows: {Lesson.objects.count() - before})")
    line("refused, each with its reason", f"{told:8}   (unexplained: {len(said) - booked - told})")
    line("overlaps and roads too long among the rows", f"{_wrong():8}")


def _slots(racer: int) -> Iterator[tuple[date, time]]:
    dice = random.Random(racer)  # seeded: the same race every time
    for _ in range(ATTEMPTS // PROCESSES):
        minutes = dice.randrange(9 * 12, 20 * 12) * 5
        day = FIRST_DAY + timedelta(days=dice.randrange(DAYS))
        yield day, time(minutes // 60, minutes % 60)


def _wrong() -> int:
    studio = Studio.current()
    lessons = Lesson.objects.in_order()
    first, last = lessons.first(), lessons.last()
    assert first is not None
    assert last is not None
    visits = visits_between(first.starts_at, last.ends_at)
    return len(all_clashes(visits, road_book(studio), studio.zone))
