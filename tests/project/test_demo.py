"""The demo scenario holds on any day of the year."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.core.management import call_command
from django.utils import timezone

from billing import demo as billing_demo
from billing.models import Invoice, Payment
from exercises import demo as exercises_demo
from exercises.models import Assignment, Exercise, Ladder, PracticeLog
from lessons import demo as lessons_demo
from lessons.models import (
    Attendance,
    Lesson,
    LessonRequest,
    LessonStatus,
    LessonStudent,
    ProgressNote,
    Waiting,
)
from studio import demo as studio_demo
from studio.local_time import day_bounds, local_date, monday_of
from studio.models import Family, MailStatus, OutgoingEmail, Student, Studio, User

AWKWARD = [
    datetime(2026, 1, 1, 9, tzinfo=UTC),
    datetime(2026, 3, 29, 1, 30, tzinfo=UTC),
    datetime(2026, 8, 31, 22, 30, tzinfo=UTC),
    datetime(2026, 10, 25, 0, 30, tzinfo=UTC),
    datetime(2028, 2, 29, 12, tzinfo=UTC),
]


@pytest.mark.django_db
@pytest.mark.parametrize("now", [*AWKWARD, None], ids=lambda now: str(now or "today")[:10])
def test_it_tells_the_whole_job(now: datetime | None) -> None:
    now = now or timezone.now()
    for part in (studio_demo, lessons_demo, exercises_demo, billing_demo):
        part.demo_build(now=now)

    zone = Studio.current().zone
    today = local_date(now, zone)
    start, end = day_bounds(today, zone)
    week_start, _ = day_bounds(monday_of(today), zone)
    this_week = Lesson.objects.filter(
        starts_at__gte=week_start, starts_at__lt=week_start + timedelta(days=7, hours=1)
    )

    assert (User.objects.filter(role="teacher").count(), Family.objects.count()) == (1, 5)
    assert Lesson.objects.filter(starts_at__gte=start, starts_at__lt=end).count() >= 2
    assert this_week.values("takers__student").distinct().count() == Student.objects.count()
    assert not LessonStudent.objects.filter(lesson__starts_at__gte=start).exclude(
        attendance=Attendance.UNMARKED
    )
    assert not Lesson.objects.filter(starts_at__lt=start, status=LessonStatus.PLANNED)
    assert ProgressNote.objects.exclude(sent_at=None).count() >= 5

    assert LessonRequest.objects.open().count() == 1
    assert Waiting.objects.looking().count() == 3

    assert Exercise.objects.count() > 40
    assert Ladder.objects.get().steps.count() >= 3
    siofra = Student.objects.get(name="Síofra Quill")
    assert Assignment.objects.filter(student=siofra).in_week_of(monday_of(today)).count() >= 3
    assert PracticeLog.objects.filter(practised_date__gt=today).count() == 0
    assert PracticeLog.objects.filter(assignment__student=siofra).count() >= 12

    assert Invoice.objects.issued().count() == 5
    assert Payment.objects.count() == 2
    assert not OutgoingEmail.objects.filter(status=MailStatus.QUEUED, created_at__lt=start)


@pytest.mark.django_db
def test_a_second_call_changes_nothing() -> None:
    for _ in range(2):
        call_command("demo", verbosity=0)

    assert Family.objects.count() == 5
