"""What one process of the race does; a module of its own so that a fresh process can import it."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import Any


def press(
    database_name: str, student_pk: int, teacher_pk: int, slots: list[tuple[date, time]], gate: Any
) -> list[str]:
    """Book half an hour at each of these times, as fast as it goes; say what happened."""
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
    for day, at in slots:
        try:
            services.lesson_book(
                students=[student],
                place=student.family.home,
                day=day,
                at=at,
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
