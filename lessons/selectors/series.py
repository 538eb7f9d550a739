"""What a series would come to, before anything is booked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from lessons.models import Lesson, WorkingHours
from lessons.planning.clashes import Clash, Visit, clashes
from lessons.planning.intervals import Interval
from lessons.planning.recurrence import Expansion, Occurrence, expand
from lessons.planning.travel import RoadBook
from lessons.selectors.appointments import appointments_between
from lessons.selectors.booked import hours_on, minute_of
from lessons.selectors.place_hours import place_hours_words
from lessons.selectors.road import road_book, stop_of
from lessons.selectors.series_wish import (
    OwnTime,
    SeriesWish,
    closed_for,
    reach,
    seal_of,
    wish_words,
    with_own_times,
)
from studio.models import Place, Studio

__all__ = ["OwnTime", "SeriesPlan", "SeriesWish", "series_plan", "single_clashes", "visits_between"]

# The longest road anybody drives between two lessons is far below this.
LOOK_AROUND = timedelta(days=1)
# From this many dates on, what is in the way is a habit and not an exception.
MOST_SINGLE_DATES = 3


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
    def lesson_in_the_way(self) -> int | None:
        """The number of the lesson that would have to move, if it is one."""
        return next((clash.other.key for clash in self.clashes if clash.other.key), None)

    @property
    def words(self) -> str:
        """What stands in the way; beside an overlap the road does not matter."""
        overlaps = [f"it {clash.words}" for clash in self.clashes if not clash.can_be_overruled]
        return "; ".join(overlaps or [clash.words for clash in self.clashes])


@dataclass(frozen=True, slots=True)
class ClashGroup:
    """Dates on which the very same thing stands in the way: most clashes repeat weekly."""

    words: str
    dates: tuple[DateClash, ...]

    @property
    def days(self) -> tuple[date, ...]:
        """The dates by themselves."""
        return tuple(found.occurrence.day for found in self.dates)

    @property
    def is_few(self) -> bool:
        """True for so few dates that each may be given a time of its own."""
        return len(self.dates) <= MOST_SINGLE_DATES


@dataclass(frozen=True, slots=True)
class SeriesPlan:
    """Every date of the wish: skipped, left out, in the way of something, or free."""

    wish: SeriesWish
    expansion: Expansion
    to_book: tuple[Occurrence, ...]
    in_the_way: tuple[DateClash, ...]
    left_out: tuple[Occurrence, ...]
    is_outside_hours: bool
    place_hours_words: str = ""

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
        return clash_groups(self.overlaps)

    @property
    def tight_groups(self) -> tuple[ClashGroup, ...]:
        """The roads that are too long, each reason once with its dates."""
        return clash_groups(self.too_tight)

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
        return seal_of([*parts, *wish_words(self.wish)])

    @property
    def with_own_time(self) -> tuple[Occurrence, ...]:
        """The dates that take place at another time than the rule's."""
        own = {each.day for each in self.wish.own_times}
        return tuple(occurrence for occurrence in self.to_book if occurrence.day in own)


def series_plan(*, wish: SeriesWish, studio: Studio) -> SeriesPlan:
    """Return what the wish comes to in the calendar as it is now.

    :raises CannotRepeat: if the rule makes no lessons that could be held
    """
    expansion = expand(wish.rule, closed_for(wish))
    kept = [found for found in expansion.occurrences if found.day not in wish.left_out]
    kept = with_own_times(kept, wish)
    in_the_way: tuple[DateClash, ...] = ()
    if kept:
        booked = visits_between(*reach(kept))
        in_the_way = _in_the_way(kept, wish, booked, road_book(studio), studio)
    return SeriesPlan(
        wish=wish,
        expansion=expansion,
        to_book=tuple(kept),
        in_the_way=in_the_way,
        left_out=tuple(found for found in expansion.occurrences if found.day in wish.left_out),
        is_outside_hours=not is_in_working_hours(
            wish.rule.first_date, wish.rule.at, wish.rule.minutes
        ),
        place_hours_words=place_hours_words(
            wish.place, wish.rule.first_date, wish.rule.at, wish.rule.minutes
        ),
    )


def visits_between(start: datetime, end: datetime, *, besides: Lesson | None = None) -> list[Visit]:
    """Return the lessons and appointments that take time in this stretch and a day around it."""
    lessons = (
        Lesson.objects.taking_time()
        .touching(start - LOOK_AROUND, end + LOOK_AROUND)
        .select_related("place")
        .prefetch_related("takers__student")
        .in_order()
    )
    if besides is not None:
        lessons = lessons.exclude(pk=besides.pk)
    visits = [
        Visit(lesson.when, stop_of(lesson.place), lesson.names or "a lesson", lesson.pk)
        for lesson in lessons
    ]
    private = appointments_between(start - LOOK_AROUND, end + LOOK_AROUND)
    return visits + [Visit(each.when, each.stop, each.label) for each in private]


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
    begin = minute_of(at)
    return any(
        opens <= begin and begin + minutes <= closes for opens, closes in hours_on(day, windows)
    )


def clash_groups(found: Sequence[DateClash]) -> tuple[ClashGroup, ...]:
    """Return every reason once, with its dates."""
    dates: dict[str, list[DateClash]] = defaultdict(list)
    for each in found:
        dates[each.words].append(each)
    return tuple(ClashGroup(words, tuple(each)) for words, each in dates.items())


def _in_the_way(
    kept: Sequence[Occurrence],
    wish: SeriesWish,
    booked: Iterable[Visit],
    roads: RoadBook,
    studio: Studio,
) -> tuple[DateClash, ...]:
    stop = stop_of(wish.place)
    wanted = [Visit(occurrence.when, stop, wish.names) for occurrence in kept]
    found = all_in_the_way(wanted, booked, roads, studio)
    return tuple(
        DateClash(occurrence, clashing)
        for occurrence, clashing in zip(kept, found, strict=True)
        if clashing
    )


def all_in_the_way(
    wanted: Sequence[Visit], booked: Iterable[Visit], roads: RoadBook, studio: Studio
) -> list[tuple[Clash, ...]]:
    """Return for each wanted visit what stands in its way, the other wanted ones among it."""
    by_day = _by_utc_day([*booked, *wanted])
    found = []
    for each in wanted:
        here = each.when.start.date()
        near = [visit for n in (-1, 0, 1) for visit in by_day[here + timedelta(days=n)]]
        others = [visit for visit in near if visit is not each]
        found.append(clashes(each, others, roads, studio.zone))
    return found


def _by_utc_day(visits: Iterable[Visit]) -> dict[date, list[Visit]]:
    days: dict[date, list[Visit]] = defaultdict(list)
    for visit in visits:
        days[visit.when.start.date()].append(visit)
    return days
