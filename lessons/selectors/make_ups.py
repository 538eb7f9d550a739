"""Rights to make-up lessons, and when one could be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from lessons.models import Closure, LessonStudent, MakeUpRight, Overruling, Term
from lessons.planning.find_once import OnceOpening
from lessons.selectors.finding import (
    ALL_DAYS,
    FoundOnceTimes,
    TimeWish,
    once_for,
    windows_of,
)
from studio.local_time import local_date
from studio.models import Family, Place, Student, Studio, User

# Further ahead nobody plans one single lesson; the days beyond can still be booked by hand.
LONGEST_LOOK = timedelta(weeks=10)
MOST_SHOWN = 12
MOST_A_DAY = 2


@dataclass(frozen=True, slots=True)
class ProposedTime:
    """A free time for a make-up."""

    day: date
    at: time
    ends: time
    added_driving: int
    is_preferred: bool
    is_in_term: bool


@dataclass(frozen=True, slots=True)
class Proposals:
    """The best times, and what the search rested on."""

    times: tuple[ProposedTime, ...]
    found: FoundOnceTimes
    has_windows: bool


@dataclass(frozen=True, slots=True)
class MakeUpLists:
    """The teacher's page: what is owed, what is booked, what was not used in time."""

    open: list[MakeUpRight]
    booked: list[MakeUpRight]
    expired: list[MakeUpRight]


def make_up_lists(
    *, user: User, today: date, now: datetime, student: Student | None = None
) -> MakeUpLists:
    """Return the rights that this user may see: three queries."""
    rights = MakeUpRight.objects.visible_to(user).with_lessons()
    if student is not None:
        rights = rights.filter(student=student)
    weeks_ago = today - timedelta(weeks=12)
    return MakeUpLists(
        open=list(rights.open_on(today).soonest_first()[:200]),
        booked=list(rights.used().filter(used_by__ends_at__gt=now).soonest_first()[:200]),
        expired=list(
            rights.expired_by(today).filter(expires_on__gte=weeks_ago).soonest_first()[:50]
        ),
    )


def family_make_ups(*, family: Family, today: date) -> list[MakeUpRight]:
    """Return what the family may still make up: one query."""
    rights = MakeUpRight.objects.filter(student__family=family).open_on(today)
    return list(rights.with_lessons().soonest_first()[:20])


def make_up_times(*, right: MakeUpRight, place: Place, studio: Studio, now: datetime) -> Proposals:
    """Return free times for a right up to its last day, best first, in term or out of it.

    Within the student's own hours where they are written down; closures are left out.
    """
    today = local_date(now, studio.zone)
    first = today + timedelta(days=1)
    last = max(first, min(right.expires_on, today + LONGEST_LOOK))
    windows = windows_of(right.student)
    wish = TimeWish(
        student=right.student,
        place=place,
        minutes=right.minutes,
        first_date=first,
        last_date=last,
        windows=windows or ALL_DAYS,
    )
    found = once_for(wish=wish, studio=studio)
    terms = list(Term.objects.filter(first_date__lte=last, last_date__gte=first))
    times: list[ProposedTime] = []
    seen: dict[date, int] = {}
    for opening in found.found.openings if right.expires_on >= first else ():
        # A few days to choose from are worth more than every quarter of an hour of the best one.
        if len(times) == MOST_SHOWN or seen.get(opening.day, 0) == MOST_A_DAY:
            continue
        seen[opening.day] = seen.get(opening.day, 0) + 1
        times.append(_proposed(opening, right.minutes, terms))
    return Proposals(tuple(times), found, bool(windows))


def is_outside_term(day: date) -> bool:
    """Return True if terms are written down and none holds this day, or it is a closed one."""
    if Closure.objects.touching(day, day).filter(school=None).exists():
        return True
    has_terms = Term.objects.exists()
    return has_terms and not Term.objects.filter(first_date__lte=day, last_date__gte=day).exists()


def missed_of(*, lesson_id: int) -> tuple[list[MakeUpRight], list[MakeUpRight], list[Overruling]]:
    """Return a lesson's rights, the rights that it uses, and how it was judged: three queries."""
    rights = MakeUpRight.objects.with_lessons()
    return (
        list(rights.filter(lesson=lesson_id).order_by("student__name", "pk")),
        list(rights.filter(used_by=lesson_id).standing().order_by("student__name", "pk")),
        list(
            Overruling.objects.filter(lesson=lesson_id)
            .select_related("student", "by")
            .order_by("-at", "-pk")
        ),
    )


def no_shows_of(*, lesson_id: int) -> list[LessonStudent]:
    """Return who did not come to a lesson."""
    takers = LessonStudent.objects.filter(lesson=lesson_id, attendance="no_show")
    return list(takers.select_related("student").order_by("student__name", "pk"))


def _proposed(opening: OnceOpening, minutes: int, terms: list[Term]) -> ProposedTime:
    end = opening.start + minutes
    return ProposedTime(
        day=opening.day,
        at=time(opening.start // 60, opening.start % 60),
        ends=time(end // 60 % 24, end % 60),
        added_driving=opening.added_driving,
        is_preferred=opening.is_preferred,
        is_in_term=not terms
        or any(term.first_date <= opening.day <= term.last_date for term in terms),
    )
