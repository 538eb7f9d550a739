"""Booking: the check and the write in one transaction that nobody else can come between."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime, time

from django.db import IntegrityError, connection, transaction

from lessons.models import Lesson, LessonStudent, Series
from lessons.overlap_net import NAME as NET
from lessons.planning.clashes import Clash
from lessons.planning.intervals import Interval
from lessons.planning.recurrence import lesson_interval
from lessons.selectors.series import SeriesPlan, SeriesWish, series_plan, single_clashes
from studio.events import event_record
from studio.models import Place, PlaceKind, Student, Studio, User

# Any number will do, as long as nothing else in this database locks the same one.
CALENDAR_LOCK = 5_105_701


class LessonClash(Exception):
    """Something stands in the way; ``clashes`` says what, ``str()`` says it in a sentence."""

    def __init__(self, clashes: Sequence[Clash], message: str = "") -> None:
        super().__init__(message or _sentence(clashes))
        self.clashes = tuple(clashes)

    @property
    def can_be_overruled(self) -> bool:
        """True when only the road stands in the way."""
        return bool(self.clashes) and all(clash.can_be_overruled for clash in self.clashes)


class NothingToBook(Exception):
    """No date is left once closures and dates left out are taken away."""


class PlanChanged(Exception):
    """The calendar is no longer as the page showed it; nothing was booked."""


@contextmanager
def calendar_held() -> Iterator[None]:
    """Hold the one calendar that every booking shares, until the transaction ends.

    On SQLite the transaction takes the write lock when it begins (IMMEDIATE); on PostgreSQL all
    bookings queue for one advisory lock. The net below (:mod:`lessons.overlap_net`) catches any
    writer that forgot to come through here.
    """
    with _net_as_clash(), transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_xact_lock(%s)", [CALENDAR_LOCK])
        yield


def series_book(
    *, wish: SeriesWish, by: User, now: datetime, road_reason: str = "", seal: str = ""
) -> Series:
    """Book every date of the wish that is not closed and not left out; all or none.

    :param road_reason: why the road will do all the same; without it a too long road is a clash
    :param seal: what the page showed (:attr:`SeriesPlan.seal`); empty books without looking
    :raises PlanChanged: if a seal is given and the plan is another by now
    :raises LessonClash: naming every date in the way
    :raises NothingToBook: if no date is left
    :raises CannotRepeat: if the rule makes no sense
    """
    studio = Studio.current()
    with calendar_held():
        plan = series_plan(wish=wish, studio=studio)
        if seal and seal != plan.seal:
            raise PlanChanged("The calendar changed while you were looking. Nothing was booked.")
        _refuse(plan, road_reason)
        series = _series(wish, now)
        lessons = Lesson.objects.bulk_create(
            Lesson(
                series=series,
                place=wish.place,
                starts_at=occurrence.when.start,
                ends_at=occurrence.when.end,
                minutes=wish.rule.minutes,
                road_overruled_reason=road_reason if occurrence.day in _tight_days(plan) else "",
            )
            for occurrence in plan.to_book
        )
        _take(lessons, wish.students)
        event_record(
            kind="series_booked",
            subject=_names(wish.students),
            by=by,
            now=now,
            series=series.pk,
            lessons=len(lessons),
            road_reason=road_reason,
        )
    return series


def lesson_book(
    *,
    students: Sequence[Student],
    place: Place,
    day: date,
    at: time,
    minutes: int,
    by: User,
    now: datetime,
    road_reason: str = "",
) -> Lesson:
    """Book one lesson.

    :raises LessonClash: if it overlaps, or the road is too long and no reason is given
    :raises CannotRepeat: if the clock shows that time never or twice, or midnight comes first
    """
    studio = Studio.current()
    when = lesson_interval(day, at, minutes, studio.zone)
    with calendar_held():
        is_tight = refuse_clashes(
            when=when, place=place, label=_names(students), studio=studio, road_reason=road_reason
        )
        lesson = Lesson.objects.create(
            place=place,
            starts_at=when.start,
            ends_at=when.end,
            minutes=minutes,
            road_overruled_reason=road_reason if is_tight else "",
        )
        _take([lesson], students)
        event_record(
            kind="lesson_booked", subject=_names(students), by=by, now=now, lesson=lesson.pk
        )
    return lesson


def refuse_clashes(
    *,
    when: Interval,
    place: Place,
    label: str,
    studio: Studio,
    road_reason: str,
    besides: Lesson | None = None,
) -> bool:
    """Return whether the road had to be overruled; call it while the calendar is held.

    :raises LessonClash: for an overlap, and for a too long road without a reason
    """
    found = single_clashes(when=when, place=place, label=label, studio=studio, besides=besides)
    if any(not clash.can_be_overruled for clash in found) or (found and not road_reason):
        raise LessonClash(found)
    return bool(found)


def online_place() -> Place:
    """Return the place that online lessons are booked at, made on first use."""
    with transaction.atomic():
        place = Place.objects.filter(kind=PlaceKind.ONLINE).order_by("pk").first()
        return place or Place.objects.create(kind=PlaceKind.ONLINE, name="Online")


@contextmanager
def _net_as_clash() -> Iterator[None]:
    try:
        yield
    except IntegrityError as refusal:
        if NET not in str(refusal):
            raise
        message = "Another lesson was booked for that time a moment ago. Nothing was changed."
        raise LessonClash((), message) from refusal


def _refuse(plan: SeriesPlan, road_reason: str) -> None:
    if not plan.to_book:
        raise NothingToBook("No date is left to book: all are closed or left out.")
    standing = plan.in_the_way if not road_reason else plan.overlaps
    if standing:
        raise LessonClash([clash for found in standing for clash in found.clashes])


def _tight_days(plan: SeriesPlan) -> set[date]:
    return {found.occurrence.day for found in plan.too_tight}


def _series(wish: SeriesWish, now: datetime) -> Series:
    rule = wish.rule
    series = Series(
        place=wish.place,
        term=wish.term,
        first_date=rule.first_date,
        last_date=rule.last_date,
        at=rule.at,
        zone_name=rule.zone.key,
        minutes=rule.minutes,
        every_weeks=rule.every_weeks,
        created_at=now,
    )
    series.full_clean()
    series.save()
    series.students.set(wish.students)
    return series


def _take(lessons: Iterable[Lesson], students: Sequence[Student]) -> None:
    LessonStudent.objects.bulk_create(
        LessonStudent(lesson=lesson, student=student) for lesson in lessons for student in students
    )


def _names(students: Sequence[Student]) -> str:
    return " and ".join(student.name for student in students)


def _sentence(clashes: Sequence[Clash]) -> str:
    zone = Studio.current().zone
    parts = [
        f"{clash.wanted.when.start.astimezone(zone):%-d %B}: it {clash.words}"
        if clash.kind == "overlap"
        else f"{clash.wanted.when.start.astimezone(zone):%-d %B}: {clash.words}"
        for clash in clashes[:5]
    ]
    more = f" And {len(clashes) - 5} more." if len(clashes) > 5 else ""
    return "Not booked. " + ". ".join(parts) + "." + more
