"""What an upset would change, and how far telling the families has come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db.models import Prefetch

from lessons.models import (
    Lesson,
    LessonStatus,
    TeachingLimits,
    Upset,
    UpsetKind,
    UpsetLesson,
    WorkingHours,
)
from lessons.planning.find_time import DAY_MINUTES
from lessons.planning.running_late import LateDay, Later, shift_rest
from lessons.selectors.addressees import Addressee, addressees
from lessons.selectors.booked import hours_on, minute_of
from lessons.selectors.finding import latest_end_of, wishes_of
from lessons.selectors.road import road_book
from lessons.selectors.series import visits_between
from studio.local_time import day_bounds, local_date
from studio.models import MailStatus, OutgoingEmail, PlaceKind, Studio


@dataclass(frozen=True, slots=True)
class LatePlan:
    """The rest of today as it would be: ``cautions`` are said, ``refusals`` stop it."""

    day: LateDay
    lessons: tuple[tuple[Lesson, Later], ...]
    cautions: tuple[str, ...]
    refusals: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """Somebody concerned, and whether their message waits, went, or never can."""

    one: Addressee
    state: str

    @property
    def has_gone(self) -> bool:
        """True when the message may have arrived."""
        return self.state in ("sent", "in_flight", "failed", "trying")

    @property
    def words(self) -> str:
        """The state, in words."""
        return {
            "none": "no e-mail address: ring them up",
            "waiting": "not told yet",
            "taken_back": "was never told",
            "sent": "told by e-mail",
            "in_flight": "being told now",
            "trying": "the mail server is away; tried again soon",
            "failed": "the message did not go: ring them up",
        }[self.state]


def away_lessons(
    *,
    first_date: date,
    last_date: date,
    from_time: time | None,
    until_time: time | None,
    studio: Studio,
) -> list[Lesson]:
    """Return the planned lessons of these days, or of a part of each: three queries."""
    lessons = Lesson.objects.filter(status=LessonStatus.PLANNED).on_days(
        first_date, last_date, studio.zone
    )
    found = list(lessons.with_people().select_related("school").in_order())
    begins = minute_of(from_time) if from_time else 0
    ends = (minute_of(until_time) if until_time else 0) or DAY_MINUTES
    return [lesson for lesson in found if _touches(lesson, begins, ends, studio)]


def home_visits(*, day: date, studio: Studio) -> list[Lesson]:
    """Return the planned lessons of a day at families' homes."""
    lessons = Lesson.objects.filter(status=LessonStatus.PLANNED, place__kind=PlaceKind.HOME)
    return list(lessons.on_days(day, day, studio.zone).with_people().in_order())


def rest_of_day(*, now: datetime, studio: Studio) -> list[Lesson]:
    """Return today's planned lessons that are not over; a school's block cannot begin late."""
    day = local_date(now, studio.zone)
    lessons = Lesson.objects.filter(status=LessonStatus.PLANNED, school=None, ends_at__gt=now)
    return list(lessons.on_days(day, day, studio.zone).with_people().in_order())


def late_plan(
    *, rest: Sequence[Lesson], first: Lesson, minutes: int, now: datetime, studio: Studio
) -> LatePlan:
    """Return today with ``first`` begun so many minutes late."""
    start, end = day_bounds(local_date(now, studio.zone), studio.zone)
    by_key = {lesson.pk: lesson for lesson in rest}
    visits = [
        visit
        for visit in visits_between(start, end)
        if visit.when.end > now and visit.when.start < end
    ]
    day = shift_rest(
        visits,
        first=first.pk,
        minutes=minutes,
        roads=road_book(studio),
        movable=by_key.keys(),
        zone=studio.zone,
    )
    lessons = tuple((by_key[later.visit.key or 0], later) for later in day.moved)
    refusals = list(day.in_the_way)
    refusals += [
        f"{lesson.names} would run past midnight. Call that lesson off."
        for lesson, later in lessons
        if later.when.end > end
    ]
    cautions = tuple(words for pair in lessons for words in _cautions(*pair, studio))
    return LatePlan(day, lessons, cautions, tuple(refusals))


def upset_changes(upset: Upset) -> list[UpsetLesson]:
    """Return what an upset changed, in order of time: four queries."""
    lessons = Prefetch("lesson", Lesson.objects.with_people().select_related("school"))
    rows = upset.changes.select_related("before_place").prefetch_related(lessons)
    return list(rows.order_by("before_starts_at", "pk"))


def told_of(upset: Upset, changes: Sequence[UpsetLesson]) -> list[Told]:
    """Return everybody concerned with the state of their message: two queries."""
    people = addressees(upset, changes)
    rows = OutgoingEmail.objects.filter(key__in=[one.key for one in people])
    states = {row.key: row for row in rows}
    return [Told(one, _state(one, states.get(one.key), upset)) for one in people]


def recent_upsets(*, now: datetime, most: int = 6) -> list[Upset]:
    """Return the latest presses of the last weeks."""
    return list(Upset.objects.filter(at__gte=now - timedelta(days=28)).newest_first()[:most])


def online_offered(*, lesson: Lesson) -> UpsetLesson | None:
    """Return the standing press that put this home lesson online, if there is one."""
    rows = UpsetLesson.objects.filter(
        lesson=lesson, upset__kind=UpsetKind.ONLINE, upset__undone_at__isnull=True
    )
    return rows.select_related("upset", "before_place").order_by("-pk").first()


def _touches(lesson: Lesson, begins: int, ends: int, studio: Studio) -> bool:
    start = minute_of(lesson.starts_at.astimezone(studio.zone).time())
    return start < ends and start + lesson.minutes > begins


def _state(one: Addressee, row: OutgoingEmail | None, upset: Upset) -> str:
    if not one.email:
        return "none"
    if row is None:
        return "taken_back" if upset.undone_at else "waiting"
    if row.status != MailStatus.QUEUED:
        return str(row.status)
    return "trying" if row.attempts else "waiting"


def _cautions(lesson: Lesson, later: Later, studio: Studio) -> list[str]:
    """Say which wishes and hours the later time goes beyond."""
    ends = later.when.end.astimezone(studio.zone)
    begun = later.when.start.astimezone(studio.zone)
    found: list[str] = []
    limits = TeachingLimits.current()
    for taker in lesson.takers.all():
        student = taker.student
        latest = latest_end_of(student, wishes_of(student), limits, begun.date())
        if (
            latest
            and ends.time() > latest
            and lesson.ends_at.astimezone(studio.zone).time() <= latest
        ):
            found.append(
                f"{student.name} should be done by {latest:%H:%M} and would end {ends:%H:%M}."
            )
    hours = list(WorkingHours.objects.order_by("weekday", "begins_at", "pk"))
    spans = hours_on(begun.date(), hours) if hours else ()
    begin, end = minute_of(begun.time()), minute_of(begun.time()) + later.when.minutes
    was = minute_of(lesson.starts_at.astimezone(studio.zone).time())
    fits_now = any(a <= begin and end <= b for a, b in spans)
    fitted = any(a <= was and was + lesson.minutes <= b for a, b in spans)
    if spans and fitted and not fits_now:
        found.append(f"{lesson.names} would end at {ends:%H:%M}, outside your hours.")
    return found
