"""What is asked for when a series is booked or changed."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.db.models import Q

from lessons.models import Closure, LessonKind, Term
from lessons.planning.recurrence import (
    CannotRepeat,
    ClosedDays,
    Occurrence,
    WeeklyRule,
    lesson_interval,
)
from studio.models import Place, School, Student


@dataclass(frozen=True, slots=True)
class OwnTime:
    """Another day or time for the lesson of one date of the rule."""

    day: date
    to_day: date
    at: time


@dataclass(frozen=True, slots=True)
class SeriesWish:
    """What the teacher asks for; ``left_out`` are dates given up on purpose.

    A group has several students and may have a ``label``; a school block has a ``school`` and a
    ``label``, and may have no students.
    """

    students: tuple[Student, ...]
    place: Place
    rule: WeeklyRule
    term: Term | None = None
    left_out: frozenset[date] = frozenset()
    kind: str = LessonKind.LESSON
    school: School | None = None
    label: str = ""
    own_times: tuple[OwnTime, ...] = ()

    @property
    def names(self) -> str:
        """Whose lesson it is, in words; a block goes by its label."""
        return self.label or names_of(self.students)


def closed_for(wish: SeriesWish) -> list[ClosedDays]:
    """Return the closures that the wish leaves out: everybody's, and its school's own."""
    rule = wish.rule
    its_own = Q(school__place=wish.place)
    if wish.school is not None:
        its_own |= Q(school=wish.school)
    closures = Closure.objects.touching(rule.first_date, rule.last_date)
    rows = closures.filter(Q(school=None) | its_own).in_order()
    return [closure.closed_days() for closure in rows]


def with_own_times(kept: Sequence[Occurrence], wish: SeriesWish) -> list[Occurrence]:
    """Return the same dates, each that has a time of its own at that time.

    :raises CannotRepeat: if such a time cannot be
    """
    own = {each.day: each for each in wish.own_times}
    found = []
    for occurrence in kept:
        other = own.get(occurrence.day)
        if other is not None:
            try:
                when = lesson_interval(other.to_day, other.at, wish.rule.minutes, wish.rule.zone)
            except CannotRepeat as trouble:
                raise CannotRepeat(str(trouble), field="own_times") from trouble
            occurrence = Occurrence(occurrence.day, when)
        found.append(occurrence)
    return found


def reach(occurrences: Sequence[Occurrence]) -> tuple[datetime, datetime]:
    """Return the first and the last instant of these lessons."""
    return min(each.when.start for each in occurrences), max(each.when.end for each in occurrences)


def names_of(students: Sequence[Student]) -> str:
    """Return the names as a sentence has them."""
    names = [student.name for student in students]
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else "".join(names)


def wish_words(wish: SeriesWish) -> list[str]:
    """Return what is asked for as words, for a seal."""
    school = str(wish.school.pk) if wish.school else ""
    words = [str(wish.place.pk), str(wish.rule.minutes), wish.kind, school, wish.label]
    return words + sorted(str(student.pk) for student in wish.students)


def seal_of(parts: Iterable[str]) -> str:
    """Return a short word that changes when any part does."""
    return hashlib.sha256("|".join(parts).encode()).hexdigest()[:16]
