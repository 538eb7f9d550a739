"""What a series would come to, before anything is booked."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from lessons.models import Closure, Lesson, Term, WorkingHours
from lessons.planning.clashes import Clash, Visit, clashes
from lessons.planning.intervals import Interval
from lessons.planning.recurrence import Expansion, Occurrence, WeeklyRule, expand
from lessons.planning.travel import RoadBook
from lessons.selectors.road import road_book, stop_of
from studio.models import Place, Student, Studio

# The longest road anybody drives between two lessons is far below this.
LOOK_AROUND = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class SeriesWish:
    """What the teacher asks for; ``left_out`` are dates given up on purpose."""

    students: tuple[Student, ...]
    place: Place
    rule: WeeklyRule
    term: Term | None = None
    left_out: frozenset[date] = frozenset()


@dataclass(frozen=True, slots=True)
class DateClash:
    """One date of the series on which something stands in the way."""

    occurrence: Occurrence
    clashes: tuple[Clash, ...]

    @property
    def can_be_overruled(self) -> bool:
        """True when only the road stands in the way."""
        return all(clash.can_be_overruled for clash in self.clashes)

    @property
    def words(self) -> str:
        """What stands in the way; beside an overlap the road does not matter."""
        overlaps = [f"it {clash.words}" for clash in self.clashes if not clash.can_be_overruled]
        return "; ".join(overlaps or [clash.words for clash in self.clashes])


@dataclass(frozen=True, slots=True)
class ClashGroup:
    """Dates on which the very same thing stands in the way: most clashes repeat weekly."""

    words: str
    days: tuple[date, ...]


@dataclass(frozen=True, slots=True)
class SeriesPlan:
    """Every date of the wish: skipped, left out, in the way of something, or free."""

    wish: SeriesWish
    expansion: Expansion
    to_book: tuple[Occurrence, ...]
    in_the_way: tuple[DateClash, ...]
    left_out: tuple[Occurrence, ...]
    is_outside_hours: bool

    @property
    def overlaps(self) -> tuple[DateClash, ...]:
        """Dates that cannot be booked whatever the teacher says."""
        return tuple(clash for clash in self.in_the_way if not clash.can_be_overruled)

    @property
    def too_tight(self) -> tuple[DateClash, ...]:
        """Dates on which only the road is too long."""
        return tuple(clash for clash in self.in_the_way if clash.can_be_overruled)

    @property
    def overlap_groups(self) -> tuple[ClashGroup, ...]:
        """The overlaps, each reason once with its dates."""
        return _groups(self.overlaps)

    @property
    def tight_groups(self) -> tuple[ClashGroup, ...]:
        """The roads that are too long, each reason once with its dates."""
        return _groups(self.too_tight)

    @property
    def free_count(self) -> int:
        """How many dates have nothing in their way."""
        return len(self.to_book) - len(self.in_the_way)

    @property
    def seal(self) -> str:
        """Return a short word that changes when any date, skip or clash does.

        The page that showed the plan sends it back, so that only what was seen is booked.
        """
        parts = [str(occurrence.when.start) for occurrence in self.to_book]
        parts += [str(skip.day) for skip in self.expansion.skipped]
        for found in self.in_the_way:
            parts += [clash.words for clash in found.clashes]
        parts += [str(self.wish.place.pk), str(self.wish.rule.minutes)]
        parts += sorted(str(student.pk) for student in self.wish.students)
        return hashlib.sha256("|".join(parts).encode()).hexdigest()[:16]


def series_plan(*, wish: SeriesWish, studio: Studio) -> SeriesPlan:
    """Return what the wish comes to in the calendar as it is now.

    :raises CannotRepeat: if the rule makes no lessons that could be held
    """
    rule = wish.rule
    closures = Closure.objects.touching(rule.first_date, rule.last_date).in_order()
    expansion = expand(rule, [closure.closed_days() for closure in closures])
    kept = [found for found in expansion.occurrences if found.day not in wish.left_out]
    in_the_way = _in_the_way(kept, wish, road_book(studio), studio)
    return SeriesPlan(
        wish=wish,
        expansion=expansion,
        to_book=tuple(kept),
        in_the_way=in_the_way,
        left_out=tuple(found for found in expansion.occurrences if found.day in wish.left_out),
        is_outside_hours=not is_in_working_hours(rule.first_date, rule.at, rule.minutes),
    )


def visits_between(start: datetime, end: datetime, *, besides: Lesson | None = None) -> list[Visit]:
    """Return the lessons that take time in this stretch and a day around it."""
    lessons = (
        Lesson.objects.taking_time()
        .touching(start - LOOK_AROUND, end + LOOK_AROUND)
        .select_related("place")
        .prefetch_related("takers__student")
        .in_order()
    )
    if besides is not None:
        lessons = lessons.exclude(pk=besides.pk)
    return [
        Visit(lesson.when, stop_of(lesson.place), lesson.names or "a lesson", lesson.pk)
        for lesson in lessons
    ]


def single_clashes(
    *,
    when: Interval,
    place: Place,
    label: str,
    studio: Studio,
    besides: Lesson | None = None,
) -> tuple[Clash, ...]:
    """Return what stands in the way of one lesson."""
    booked = visits_between(when.start, when.end, besides=besides)
    return clashes(Visit(when, stop_of(place), label), booked, road_book(studio), studio.zone)


def is_in_working_hours(day: date, at: time, minutes: int) -> bool:
    """Return True if a window of that weekday holds the lesson, or no hours were set at all."""
    windows = list(WorkingHours.objects.all())
    if not windows:
        return True
    begin = at.hour * 60 + at.minute
    for window in windows:
        opens = window.begins_at.hour * 60 + window.begins_at.minute
        closes = (window.ends_at.hour * 60 + window.ends_at.minute) or 24 * 60
        if window.weekday == day.weekday() and opens <= begin and begin + minutes <= closes:
            return True
    return False


def _groups(found: Sequence[DateClash]) -> tuple[ClashGroup, ...]:
    days: dict[str, list[date]] = defaultdict(list)
    for each in found:
        days[each.words].append(each.occurrence.day)
    return tuple(ClashGroup(words, tuple(dates)) for words, dates in days.items())


def _in_the_way(
    kept: Sequence[Occurrence], wish: SeriesWish, roads: RoadBook, studio: Studio
) -> tuple[DateClash, ...]:
    if not kept:
        return ()
    by_day = _by_utc_day(visits_between(kept[0].when.start, kept[-1].when.end))
    label = " and ".join(student.name for student in wish.students)
    found: list[DateClash] = []
    for occurrence in kept:
        wanted = Visit(occurrence.when, stop_of(wish.place), label)
        here = occurrence.when.start.date()
        near = [visit for n in (-1, 0, 1) for visit in by_day[here + timedelta(days=n)]]
        clashing = clashes(wanted, near, roads, studio.zone)
        if clashing:
            found.append(DateClash(occurrence, clashing))
    return tuple(found)


def _by_utc_day(visits: Iterable[Visit]) -> dict[date, list[Visit]]:
    days: dict[date, list[Visit]] = defaultdict(list)
    for visit in visits:
        days[visit.when.start.date()].append(visit)
    return days
