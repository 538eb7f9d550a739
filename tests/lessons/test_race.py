"""Several presses at the same instant, from real processes on the real database."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from datetime import date, time
from multiprocessing import get_context
from typing import Any

import pytest
from django.db import connection, connections

from lessons.models import Lesson, LessonStudent
from lessons.planning.clashes import all_clashes
from lessons.selectors import road_book, visits_between
from tests.lessons.conftest import DUBLIN
from tests.lessons.race_worker import press

PROCESSES = 4
SLOTS = [(date(2026, 9, day), time(16)) for day in range(7, 19)]


@pytest.mark.django_db(transaction=True)
def test_both_press_at_once_and_one_gets_the_lesson(
    teacher: Any, aoife: Any, tadhg: Any, studio: Any
) -> None:
    """Edge case 34: for every day one lesson, and every loser is told why."""
    name = str(connection.settings_dict["NAME"])
    connections.close_all()
    spawn = get_context("spawn")
    with spawn.Manager() as manager, ProcessPoolExecutor(PROCESSES, mp_context=spawn) as pool:
        gate = manager.Barrier(PROCESSES)
        students = [aoife.pk, tadhg.pk] * (PROCESSES // 2)
        presses = [
            pool.submit(press, name, student, teacher.pk, SLOTS, gate) for student in students
        ]
        said = [answer for future in presses for answer in future.result(timeout=120)]

    refused = [words for words in said if words != "booked"]
    assert said.count("booked") == len(SLOTS) == Lesson.objects.count()
    assert LessonStudent.objects.count() == len(SLOTS)
    assert len(refused) == len(SLOTS) * (PROCESSES - 1)
    assert all("it overlaps" in words and "16:00-16:30" in words for words in refused)
    lessons = Lesson.objects.in_order()
    visits = visits_between(lessons[0].starts_at, lessons[len(SLOTS) - 1].ends_at)
    assert all_clashes(visits, road_book(studio), DUBLIN) == ()
