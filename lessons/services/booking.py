"""Booking: the check and the write in one transaction that nobody else can come between."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime, time
from typing import Any

from django.db import IntegrityError, connection, transaction

from lessons.models import Lesson, LessonKind, LessonStudent, Series
from lessons.overlap_net import NAME as NET
from lessons.planning.clashes import Clash
from lessons.planning.intervals import Interval
from lessons.planning.recurrence import Occurrence, lesson_interval
from lessons.selectors.road import outside_words
from lessons.selectors.series import SeriesPlan, SeriesWish, series_plan, single_clashes
from lessons.selectors.series_wish import names_of
from studio.events import event_record
from studio.models import Place, PlaceKind, School, Student, Studio, User

# Any number will do, as long as nothing else in this database locks the same one.
CALENDAR_LOCK = 5_105_701


class LessonClash(Exception):
    """Something stands in the way; ``clashes`` says what, ``str()`` says it in a sentence."""

    def __init__(
        self, clashes: Sequence[Clash], message: str = "", *, outcome: str = "Not booked"
    ) -> None:
        super().__init__(message or _sentence(clashes, outcome))
        self.clashes = tuple(clashes)

    @property
    def can_be_overruled(self) -> bool:
        """True when only the road stands in the way."""
        return bool(self.clashes) and all(clash.can_be_overruled for clash in self.clashes)


class OutsideRadius(LessonClash):
    """The place lies outside the radius and nobody has said why to go there."""

    @property
    def can_be_overruled(self) -> bool:
        """True: a reason is enough, and it is kept with the place."""
        return True


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
        refuse_outside(wish.place, studio, road_reason)
        tight_days = {found.occurrence.day for found in plan.too_tight}
        series = series_write(Series(created_at=now), wish)
        lessons = Lesson.objects.bulk_create(
            Lesson(
                series=series,
                **lesson_fields(wish, occurrence),
                road_overruled_reason=road_reason if occurrence.day in tight_days else "",
            )
            for occurrence in plan.to_book
        )
        take(lessons, wish.students)
        event_record(
            kind="series_booked",
            subject=wish.names,
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
    kind: str = LessonKind.LESSON,
    school: School | None = None,
    label: str = "",
) -> Lesson:
    """Book one lesson; a school block needs a school and a label, and no students.

    :raises LessonClash: if it overlaps, or the road is too long and no reason is given
    :raises CannotRepeat: if the clock shows that time never or twice, or midnight comes first
    """
    studio = Studio.current()
    when = lesson_interval(day, at, minutes, studio.zone)
    with calendar_held():
        refuse_outside(place, studio, road_reason)
        is_tight = refuse_clashes(
            when=when,
            place=place,
            label=label or names_of(students),
            studio=studio,
            road_reason=road_reason,
        )
        lesson = Lesson(
            kind=kind,
            school=school,
            label=label,
            place=place,
            starts_at=when.start,
            ends_at=when.end,
            minutes=minutes,
            road_overruled_reason=road_reason if is_tight else "",
        )
        lesson.full_clean()
        lesson.save()
        take([lesson], students)
        event_record(
            kind="lesson_booked",
            subject=label or names_of(students),
            by=by,
            now=now,
            lesson=lesson.pk,
            lesson_kind=kind,
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
        raise LessonClash(found, outcome="Not changed" if besides else "Not booked")
    return bool(found)


def refuse_outside(place: Place, studio: Studio, reason: str) -> None:
    """Let nobody be driven to outside the radius without a reason; a new one stays with the place.

    :raises OutsideRadius: without a reason
    """
    words = outside_words(place, studio)
    if not words:
        return
    if not reason:
        raise OutsideRadius((), f"Not booked. {words} Say why you go there all the same.")
    place.road_overruled_reason = reason[:200]
    place.save(update_fields=["road_overruled_reason"])


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


def series_write(series: Series, wish: SeriesWish) -> Series:
    """Give a series everything that the wish asks for, and save it; call it in a transaction."""
    rule = wish.rule
    series.kind, series.school, series.label = wish.kind, wish.school, wish.label
    series.place, series.term = wish.place, wish.term
    series.first_date, series.last_date = rule.first_date, rule.last_date
    series.at, series.zone_name, series.minutes = rule.at, rule.zone.key, rule.minutes
    series.every_weeks = rule.every_weeks
    series.full_clean()
    series.save()
    series.students.set(wish.students)
    return series


def lesson_fields(wish: SeriesWish, occurrence: Occurrence) -> dict[str, Any]:
    """Return what a lesson of the wish has on one of its dates."""
    rule = wish.rule
    moved_from = None
    if occurrence.day in {each.day for each in wish.own_times}:
        # It stands for a date of the rule, as a lesson that is moved afterwards would.
        moved_from = lesson_interval(occurrence.day, rule.at, rule.minutes, rule.zone).start
    return {
        "kind": wish.kind,
        "school": wish.school,
        "label": wish.label,
        "place": wish.place,
        "starts_at": occurrence.when.start,
        "ends_at": occurrence.when.end,
        "minutes": rule.minutes,
        "moved_from": moved_from if moved_from != occurrence.when.start else None,
    }


def take(lessons: Iterable[Lesson], students: Sequence[Student]) -> None:
    """Write down who takes part in new lessons."""
    LessonStudent.objects.bulk_create(
        LessonStudent(lesson=lesson, student=student) for lesson in lessons for student in students
    )


def _sentence(clashes: Sequence[Clash], outcome: str) -> str:
    zone = Studio.current().zone
    parts = [
        f"{clash.wanted.when.start.astimezone(zone):%-d %B}: it {clash.words}"
        if clash.kind == "overlap"
        else f"{clash.wanted.when.start.astimezone(zone):%-d %B}: {clash.words}"
        for clash in clashes[:5]
    ]
    more = f" And {len(clashes) - 5} more." if len(clashes) > 5 else ""
    return f"{outcome}. " + ". ".join(parts) + "." + more
