"""What one process of the race does; a module of its own so that a fresh process can import it."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import Any


def press(
    database_name: str, student_pk: int, teacher_pk: int, days: list[int], gate: Any
) -> list[str]:
    """Book one lesson on each of these days of September, as fast as it goes; say what happened."""
    import django

    django.setup()
    from django.db import connection

    connection.close()
    connection.settings_dict["NAME"] = database_name
    from lessons import services
    from studio.models import Student, User

    student = Student.objects.select_related("family__home").get(pk=student_pk)
    teacher = User.objects.get(pk=teacher_pk)
    said = []
    gate.wait(timeout=60)
    for day in days:
        try:
            services.lesson_book(
                students=[student],
                place=student.family.home,
                day=date(2026, 9, day),
                at=time(16),
                minutes=30,
                by=teacher,
                now=datetime(2026, 9, 1, tzinfo=UTC),
            )
        except services.LessonClash as clash:
            said.append(str(clash))
        else:
            said.append("booked")
    connection.close()
    return said
