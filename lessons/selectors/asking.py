"""What a family can ask about a lesson, what it would count as, and what was asked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from lessons.models import Lesson, LessonRequest, MissedLessonRules
from lessons.planning.openings import Window
from lessons.planning.policy import Verdict
from lessons.planning.recurrence import CannotRepeat, lesson_interval
from lessons.selectors.finding import ALL_DAYS, TimeWish, once_for, windows_by_student
from studio.local_time import local_date
from studio.models import Family, Student, Studio, User

# How far before and after the lesson another time is looked for.
DAYS_AROUND = 14
MOST_A_DAY = 4
MOST_DAYS = 10
MOST_TIMES = 3
MOST_ANSWERED_SHOWN = 20
# Nobody born so many years ago is a child any more, whenever in the year the birthday is.
GROWN_UP_YEARS = 19


@dataclass(frozen=True, slots=True)
class FreeStart:
    """A time at which the lesson could be instead, and whether it lies in the family's windows."""

    starts_at: datetime
    ends_at: datetime
    day: date
    cost: float
    suits: bool

    @property
    def key(self) -> str:
        """What a form sends for it."""
        return f"{self.starts_at.astimezone(UTC):%Y-%m-%dT%H:%M}Z"


@dataclass(frozen=True, slots=True)
class FreeDay:
    """The times of one day that are offered for choosing."""

    day: date
    times: tuple[FreeStart, ...]


def counting_of(*, lesson: Lesson, now: datetime, zone: ZoneInfo) -> Verdict:
    """Return what the rules make of the lesson if the family calls it off now."""
    policy = MissedLessonRules.current().policy()
    return policy.verdict(by="family", told_at=now, starts_at=lesson.starts_at, zone=zone)


def students_of(lesson: Lesson, family: Family) -> list[Student]:
    """Return the family's students who come to the lesson; uses the prefetched rows."""
    return [
        taker.student
        for taker in lesson.takers.all()
        if taker.student.family_id == family.pk and not taker.away_outcome
    ]


def comes_with_others(lesson: Lesson, family: Family) -> bool:
    """Return True if somebody of another family still comes; uses the prefetched rows."""
    return any(
        taker.student.family_id != family.pk and not taker.away_outcome
        for taker in lesson.takers.all()
    )


def names_for(lesson: Lesson, family: Family) -> str:
    """Return whose lesson it is to this family: of a group, their own students alone."""
    if not is_shared(lesson):
        return lesson.names
    return " and ".join(
        taker.student.name for taker in lesson.takers.all() if taker.student.family_id == family.pk
    )


def is_shared(lesson: Lesson) -> bool:
    """Return True if students of several families take part; uses the prefetched rows."""
    return len({taker.student.family_id for taker in lesson.takers.all()}) > 1


def family_of(user: User) -> Family | None:
    """Return the family that a person asks for: an adult's, or a student's own."""
    if user.own_adult is not None:
        return user.own_adult.family
    return user.own_student.family if user.own_student is not None else None


def is_grown_up(user: User, today: date) -> bool:
    """Return True for a family's adult, and for a student who is certainly no child any more."""
    if user.own_adult is not None:
        return True
    student = user.own_student
    if student is None or student.birth_year is None:
        return False
    return today.year - student.birth_year >= GROWN_UP_YEARS


def may_settle(*, request: LessonRequest, user: User, today: date) -> bool:
    """Return True if a person of the family may take it back or take a time that is offered.

    Grown-ups may; a child may only take back what they asked themselves.
    """
    return is_grown_up(user, today) or (request.is_open and request.asked_by_id == user.pk)


def free_starts(*, lesson: Lesson, studio: Studio, now: datetime) -> tuple[FreeStart, ...]:
    """Return every time within two weeks of the lesson, tomorrow at the earliest, in order.

    A lesson that several families share has none: its time is not one family's to change.
    """
    students = [taker.student for taker in lesson.takers.all()]
    if not students or is_shared(lesson):
        return ()
    tomorrow = local_date(now, studio.zone) + timedelta(days=1)
    day = max(local_date(lesson.starts_at, studio.zone), tomorrow)
    wish = TimeWish(
        student=max(students, key=lambda student: student.birth_year or 0),
        place=lesson.place,
        minutes=lesson.minutes,
        first_date=max(tomorrow, day - timedelta(days=DAYS_AROUND)),
        last_date=day + timedelta(days=DAYS_AROUND),
        windows=ALL_DAYS,
    )
    found = once_for(wish=wish, studio=studio, besides_lessons=[lesson.pk]).found
    windows = windows_by_student([student.pk for student in students])
    starts = []
    for one in found.openings:
        with suppress(CannotRepeat):
            at = time(one.start // 60, one.start % 60)
            when = lesson_interval(one.day, at, lesson.minutes, studio.zone)
            suits = _suits(one.day, one.start, lesson.minutes, windows)
            starts.append(FreeStart(when.start, when.end, one.day, one.cost, suits))
    starts = [start for start in starts if start.starts_at != lesson.starts_at]
    return tuple(sorted(starts, key=lambda start: start.starts_at))


def choices_by_day(
    free: Sequence[FreeStart], chosen: frozenset[datetime] = frozenset()
) -> tuple[FreeDay, ...]:
    """Return a few times of each of the next days: those with the least driving, chosen ones kept.

    Times in the family's windows come alone, if there are any.
    """
    suiting = [one for one in free if one.suits or one.starts_at in chosen]
    days: dict[date, list[FreeStart]] = defaultdict(list)
    for one in suiting if any(one.suits for one in free) else free:
        days[one.day].append(one)
    return tuple(
        FreeDay(day, _best(days[day], chosen))
        for place, day in enumerate(sorted(days))
        if place < MOST_DAYS or any(one.starts_at in chosen for one in days[day])
    )


def requests_waiting() -> list[LessonRequest]:
    """Return what waits for the teacher's answer; whose lesson is soonest comes first."""
    return list(LessonRequest.objects.open().with_people().order_by("was_starts_at", "pk"))


def requests_with_family() -> list[LessonRequest]:
    """Return what waits for the family, because another time is offered."""
    found = LessonRequest.objects.standing().exclude(
        pk__in=LessonRequest.objects.open().values("pk")
    )
    return list(found.with_people().order_by("was_starts_at", "pk"))


def requests_answered(*, most: int = MOST_ANSWERED_SHOWN) -> list[LessonRequest]:
    """Return what was answered last."""
    standing = LessonRequest.objects.standing().values("pk")
    found = LessonRequest.objects.exclude(pk__in=standing).with_people()
    return list(found.order_by("-answered_at", "-pk")[:most])


def requests_of(*, user: User, now: datetime, most: int = 8) -> list[LessonRequest]:
    """Return what somebody asked that still matters: standing, or about a lesson not long ago."""
    found = LessonRequest.objects.visible_to(user).with_people()
    recent = found.filter(was_starts_at__gte=now - timedelta(days=7))
    return list(recent.order_by("-asked_at", "-pk")[:most])


def _suits(day: date, start: int, minutes: int, windows: Mapping[int, Sequence[Window]]) -> bool:
    """Return True if every student who named windows has one that holds the lesson."""
    return all(
        any(
            window.is_open_on(day) and window.begins <= start and start + minutes <= window.ends
            for window in own
        )
        for own in windows.values()
    )


def _best(times: Sequence[FreeStart], chosen: frozenset[datetime]) -> tuple[FreeStart, ...]:
    ranked = sorted(times, key=lambda one: (one.starts_at not in chosen, one.cost, one.starts_at))
    kept: list[FreeStart] = []
    for one in ranked:
        # A quarter of an hour apart is no choice; half an hour is.
        apart = all(abs(one.starts_at - other.starts_at) >= timedelta(minutes=30) for other in kept)
        if one.starts_at in chosen or (apart and len(kept) < MOST_A_DAY):
            kept.append(one)
    return tuple(sorted(kept, key=lambda one: one.starts_at))
