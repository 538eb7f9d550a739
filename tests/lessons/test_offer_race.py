"""Two families say yes to one offered time at the same instant, from real processes."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from datetime import UTC, date, datetime, time, timedelta
from multiprocessing import get_context
from typing import Any

import pytest
from django.db import connection, connections

from lessons.models import Lesson, Offer, OfferState, Series, Waiting
from lessons.selectors.free_slots import FreeSlot
from lessons.services.offering import offers_make
from studio.models import Role
from tests.factories.studio import UserFactory
from tests.lessons.conftest import NOW
from tests.lessons.offer_worker import press_yes

FAMILIES = 2
TIMES = 5
WEEKS = 3


@pytest.mark.django_db(transaction=True)
def test_both_say_yes_at_once_and_one_has_it(
    teacher: Any, aoife: Any, tadhg: Any, studio: Any
) -> None:
    """Edge case 45: for every time one series, one family told that somebody else was first."""
    users = [UserFactory(role=Role.PARENT) for _ in range(FAMILIES)]
    presses: list[list[tuple[int, int]]] = [[] for _ in range(FAMILIES)]
    for weekday in range(TIMES):
        first = date(2026, 9, 7) + timedelta(days=weekday)
        last = first + timedelta(weeks=WEEKS - 1)
        slot = FreeSlot(weekday, 16 * 60, 16 * 60 + 30, first, last)
        people = [
            Waiting.objects.create(
                student=student,
                name=student.name,
                place=student.family.home,
                since_date=date(2026, 8, 1),
                created_at=NOW,
            )
            for student in (aoife, tadhg)
        ]
        made = offers_make(slot=slot, waiting=people, until=date(2026, 9, 5), by=teacher, now=NOW)
        for number, offer in enumerate(made):
            presses[number].append((offer.pk, users[number].pk))
    name = str(connection.settings_dict["NAME"])
    connections.close_all()

    spawn = get_context("spawn")
    with spawn.Manager() as manager, ProcessPoolExecutor(FAMILIES, mp_context=spawn) as pool:
        gate = manager.Barrier(FAMILIES)
        moment = datetime(2026, 9, 2, 9, tzinfo=UTC)
        running = [pool.submit(press_yes, name, part, moment, gate) for part in presses]
        said = [future.result(timeout=120) for future in running]

    for pair in zip(*said, strict=True):
        assert sorted(pair)[1] == "booked"
        assert sorted(pair)[0] == "Somebody else said yes first. Nothing was booked."
    assert Series.objects.filter(at=time(16)).count() == TIMES
    assert Lesson.objects.count() == TIMES * WEEKS
    states = sorted(Offer.objects.values_list("state", flat=True))
    assert states == [OfferState.CONFIRMED] * TIMES + [OfferState.LOST] * TIMES
