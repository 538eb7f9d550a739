"""What is taken off the next invoice because a lesson that was invoiced did not happen.

The issued invoice stays as it is. A lesson that is made up is not credited: what was paid for it
pays for the make-up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Protocol

NOT_CHARGED = frozenset({"called_off", "called_off_by_teacher", "excused"})
"""What a missed lesson counts as when nobody pays for it, whatever the price list says."""

_NOT_DRIVEN = frozenset({"called_off", "called_off_by_teacher"})

_WHY = {
    "called_off": "Called off in good time",
    "called_off_by_teacher": "Called off by the teacher",
    "excused": "Missed, and let off",
}


class MissedLesson(Protocol):
    """What crediting needs to know of one student's lesson (``lessons.facts.LessonFact``)."""

    @property
    def lesson_id(self) -> int: ...
    @property
    def student_id(self) -> int: ...
    @property
    def local_date(self) -> date: ...
    @property
    def place_id(self) -> int: ...
    @property
    def outcome(self) -> str: ...
    @property
    def make_up_until(self) -> date | None: ...
    @property
    def is_made_up(self) -> bool: ...


@dataclass(frozen=True, slots=True)
class Billed:
    """A line above zero of an issued invoice that nothing has taken back.

    ``lesson`` is (lesson, student) for a lesson's line and None for a drive's.
    """

    line_id: int
    number: str
    on: date
    place_id: int
    words: str
    net: Decimal
    lesson: tuple[int, int] | None = None
    student_name: str = ""


@dataclass(frozen=True, slots=True)
class Credit:
    """A line to take back: ``net`` is below zero."""

    line_id: int
    on: date
    words: str
    reason: str
    net: Decimal
    student_id: int | None
    student_name: str


@dataclass(frozen=True, slots=True)
class Credits:
    """What goes on this invoice, and what waits because the invoice would fall below nothing."""

    lines: tuple[Credit, ...]
    waiting: tuple[Credit, ...]


def credits(
    billed: Iterable[Billed],
    lessons: Sequence[MissedLesson],
    *,
    today: date,
    most: Decimal,
) -> Credits:
    """Return what is taken back, oldest first, up to ``most`` altogether.

    :param lessons: every lesson that a line bills, and all of the family's on the days of drives
    """
    by_key = {(lesson.lesson_id, lesson.student_id): lesson for lesson in lessons}
    taken: list[Credit] = []
    waiting: list[Credit] = []
    room = most
    for line in sorted(billed, key=lambda line: (line.on, line.line_id)):
        why = _why(line, by_key.get(line.lesson or (0, 0)), lessons, today)
        if not why:
            continue
        credit = Credit(
            line_id=line.line_id,
            on=line.on,
            words=f"Taken back from invoice {line.number}: {line.words}",
            reason=why,
            net=-line.net,
            student_id=line.lesson[1] if line.lesson else None,
            student_name=line.student_name,
        )
        if line.net <= room:
            room -= line.net
            taken.append(credit)
        else:
            waiting.append(credit)
    return Credits(tuple(taken), tuple(waiting))


def _why(
    line: Billed, lesson: MissedLesson | None, lessons: Sequence[MissedLesson], today: date
) -> str:
    """Return why the line is taken back; empty if it is not."""
    if line.lesson is None:
        there = [
            one for one in lessons if (one.local_date, one.place_id) == (line.on, line.place_id)
        ]
        if there and all(one.outcome in _NOT_DRIVEN for one in there):
            return "No lesson was given there that day"
        return ""
    if lesson is None or lesson.outcome not in NOT_CHARGED or _pays_for_make_up(lesson, today):
        return ""
    return _WHY[lesson.outcome]


def _pays_for_make_up(lesson: MissedLesson, today: date) -> bool:
    is_owed = lesson.make_up_until is not None and today <= lesson.make_up_until
    return lesson.is_made_up or is_owed
