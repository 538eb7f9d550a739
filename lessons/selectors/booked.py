"""A stretch of days as they are booked: what any search for a time looks at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import groupby, permutations
from zoneinfo import ZoneInfo

from lessons.models import Closure, DayRule, Lesson, TeachingLimits, WorkingHours
from lessons.planning.find_time import DAY_MINUTES, TeachingDay
from lessons.planning.openings import Busy, Ends, Meal, Span, Ways
from lessons.planning.travel import UNKNOWN_ROAD_MINUTES, RoadBook, Stop
from lessons.selectors.appointments import appointments_on
from lessons.selectors.place_hours import shut_days
from lessons.selectors.road import road_book, stop_of
from studio.local_time import monday_of
from studio.models import Place, Studio

# Where no hours are written down yet, a teacher's day is taken to be this: common practice, no
# source.
USUAL_HOURS: tuple[Span, ...] = ((9 * 60, 21 * 60),)


@dataclass(frozen=True, slots=True)
class BookedDays:
    """A stretch of days as they are booked, read once for any number of searches.

    ``student_dates`` are the dates on which each student has a lesson, a week around included;
    ``closed_places`` are places that a closure of their own shuts on some dates.
    """

    teaching: dict[date, TeachingDay]
    roads: RoadBook
    ways: Ways
    limits: TeachingLimits
    roads_driven: RoadsAsNeeded
    student_dates: Mapping[int, frozenset[date]]
    closed_places: Mapping[int, frozenset[date]]

    @property
    def has_unknown_road(self) -> bool:
        """True once a search has come to a road that had to be guessed."""
        return self.roads_driven.has_unknown


class RoadsAsNeeded(dict[tuple[int, int], int]):
    """The minutes of roads, each reckoned when a search first asks for it: most are never asked."""

    def __init__(self, places: Mapping[int, Stop], roads: RoadBook) -> None:
        super().__init__()
        self.places, self.roads = places, roads
        self.has_unknown = False

    def __missing__(self, ends: tuple[int, int]) -> int:
        """Reckon one road and remember it."""
        known = self.roads.between(self.places[ends[0]], self.places[ends[1]]).minutes
        self.has_unknown |= known is None
        minutes = self[ends] = UNKNOWN_ROAD_MINUTES if known is None else known
        return minutes


@dataclass(frozen=True, slots=True)
class _Row:
    """A lesson as the search needs it."""

    pk: int
    series: int
    place: int
    day: date
    start: int
    minutes: int
    label: str


def booked_days(
    *,
    first_date: date,
    last_date: date,
    places: Iterable[Place],
    studio: Studio,
    besides: Sequence[int] = (),
    besides_lessons: Sequence[int] = (),
) -> BookedDays:
    """Read what every search between these dates for a lesson at one of these places needs.

    A dozen queries, whatever the term holds. Weeks are read whole, and one more on either side.

    :param besides: numbers of series whose lessons do not count
    :param besides_lessons: numbers of single lessons that do not count
    """
    zone, limits, roads = studio.zone, TeachingLimits.current(), road_book(studio)
    around = first_date - timedelta(days=7), last_date + timedelta(days=7)
    rows, students = _rows(*around, zone, besides, besides_lessons)
    private = appointments_on(*around, zone)
    rules = {rule.weekday: rule for rule in DayRule.objects.select_related(*_RULE_PLACES)}
    stops = {
        place.pk: stop_of(place)
        for place in (*Place.objects.in_bulk({row.place for row in rows}).values(), *places)
    }
    stops |= {each.stop.key: each.stop for each in private}
    stops |= {
        place.pk: stop_of(place)
        for rule in rules.values()
        for place in (rule.starts_from, rule.ends_at_place)
        if place is not None
    }
    driven = RoadsAsNeeded(_placed(stops.values(), roads), roads)
    ways = _ways(driven, roads, limits.buffer_minutes)
    schedules: dict[date, list[Busy]] = defaultdict(list)
    for row in rows:
        place = place_key(stops[row.place], roads)
        busy = Busy(row.start, row.start + row.minutes, place, row.label, row.series)
        schedules[row.day].append(busy)
    evenings = _evenings(schedules, limits)
    for each in private:
        rule = each.appointment.rule()
        place = place_key(each.stop, roads)
        busy = Busy(rule.begins, rule.ends, place, each.label, 0, is_private=True)
        schedules[each.day].append(busy)
    hours = list(WorkingHours.objects.order_by("weekday", "begins_at", "pk"))
    days, closed_places = _open_days(first_date, last_date)
    teaching = {
        day: TeachingDay(
            tuple(sorted(schedules.get(day, ()))),
            hours_on(day, hours),
            limits.most_minutes_a_day,
            ends_of(rules.get(day.weekday()), roads),
            meal_of(rules.get(day.weekday())),
            _evening_from(day, evenings, limits),
        )
        for day in days
    }
    return BookedDays(teaching, roads, ways, limits, driven, students, closed_places)


_RULE_PLACES = ("starts_from", "ends_at_place")


def hours_on(day: date, hours: Sequence[WorkingHours]) -> tuple[Span, ...]:
    """Return the teacher's hours on a day; dated ones (a summer timetable) beat the others."""
    if not hours:
        return USUAL_HOURS
    dated = [row for row in hours if row.first_date and row.last_date]
    covering = [row for row in dated if row.first_date <= day <= row.last_date]  # type: ignore[operator]
    chosen = covering or [row for row in hours if row.first_date is None]
    return tuple(
        (minute_of(row.begins_at), minute_of(row.ends_at) or DAY_MINUTES)
        for row in chosen
        if row.weekday == day.weekday()
    )


def ends_of(rule: DayRule | None, roads: RoadBook) -> Ends | None:
    """Return where a day begins and ends, None for the base at both."""
    if rule is None or (rule.starts_from_id is None and rule.ends_at_place_id is None):
        return None
    base = roads.base.key if roads.base else None
    return rule.starts_from_id or base, rule.ends_at_place_id or base


def meal_of(rule: DayRule | None) -> Meal | None:
    """Return the meal that a day must leave room for."""
    if rule is None or rule.meal_from is None or rule.meal_until is None:
        return None
    return Meal(minute_of(rule.meal_from), minute_of(rule.meal_until), rule.meal_minutes)


def ways_between(stops: Iterable[Stop], roads: RoadBook, buffer: int) -> tuple[Ways, bool]:
    """Return every road between these stops and the base, and whether one had to be guessed."""
    places = _placed(stops, roads)
    minutes = RoadsAsNeeded(places, roads)
    for ends in permutations(places, 2):
        minutes[ends]
    return _ways(minutes, roads, buffer), minutes.has_unknown


def _ways(minutes: RoadsAsNeeded, roads: RoadBook, buffer: int) -> Ways:
    by_hour = {
        ends: tuple((one.begins, one.ends, one.minutes) for one in hours)
        for ends, hours in roads.by_hour.items()
        if set(ends) <= minutes.places.keys()
    }
    return Ways(minutes, roads.base.key if roads.base else None, buffer, by_hour)


def _placed(stops: Iterable[Stop], roads: RoadBook) -> dict[int, Stop]:
    """The places that roads lead between; the base is one of them."""
    places = {place_key(stop, roads): stop for stop in stops if not stop.is_online}
    if roads.base is not None:
        places[roads.base.key] = roads.base
    return {key: stop for key, stop in places.items() if key is not None}


def place_key(stop: Stop, roads: RoadBook) -> int | None:
    """Return where a stop is: online lessons at the base if they need a desk, else anywhere."""
    if roads.is_anywhere(stop):
        return None
    if not stop.is_online:
        return stop.key
    return roads.base.key if roads.base else None


def minute_of(at: time | datetime) -> int:
    """Return the minute of the day."""
    return at.hour * 60 + at.minute


def _rows(
    first: date,
    last: date,
    zone: ZoneInfo,
    besides: Sequence[int],
    besides_lessons: Sequence[int],
) -> tuple[list[_Row], dict[int, frozenset[date]]]:
    """Read the lessons as bare values: a term has a thousand of them."""
    lessons = (
        Lesson.objects.taking_time()
        .on_days(first, last, zone)
        .exclude(series_id__in=besides)
        .exclude(pk__in=besides_lessons)
    )
    # One row for each student of each lesson, those of a lesson beside each other.
    fields = ("pk", "series_id", "place_id", "starts_at", "minutes", "label")
    people = ("takers__student_id", "takers__student__name")
    found = lessons.order_by("starts_at", "pk", "takers__pk").values_list(*fields, *people)
    rows: list[_Row] = []
    students: dict[int, set[date]] = defaultdict(set)
    for bare, group in groupby(found, key=lambda row: row[:6]):
        pk, series, place, starts_at, minutes, label = bare
        local = starts_at.astimezone(zone)
        day, names = local.date(), []
        for row in group:
            if row[6] is not None:
                students[row[6]].add(day)
                names.append(row[7])
        words = label or " and ".join(names) or "a lesson"
        rows.append(_Row(pk, series or 0, place, day, minute_of(local), minutes, words))
    return rows, {student: frozenset(days) for student, days in students.items()}


def _evenings(schedules: Mapping[date, Sequence[Busy]], limits: TeachingLimits) -> set[date]:
    """The days on which a lesson runs into the evening."""
    begins = minute_of(limits.evening_begins_at)
    return {day for day, busy in schedules.items() if any(one.end > begins for one in busy)}


def _evening_from(day: date, evenings: set[date], limits: TeachingLimits) -> int:
    """The minute by which a new lesson of the day has to be over, for the evenings' sake."""
    if day in evenings:
        return DAY_MINUTES
    monday = monday_of(day)
    used = sum(monday + timedelta(days=n) in evenings for n in range(7))
    return (
        minute_of(limits.evening_begins_at) if used >= limits.most_evenings_a_week else DAY_MINUTES
    )


def _open_days(first: date, last: date) -> tuple[list[date], dict[int, frozenset[date]]]:
    """Every date without a closure, and the dates on which single places are closed."""
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    closures = list(Closure.objects.touching(first, last).select_related("school"))
    everywhere = [row.closed_days() for row in closures if row.school is None]
    places: dict[int, set[date]] = defaultdict(set)
    for row in closures:
        if row.school is not None:
            closed = row.closed_days()
            places[row.school.place_id] |= {day for day in days if closed.covers(day)}
    for place, shut in shut_days(days).items():
        places[place] |= shut
    open_days = [day for day in days if not any(closed.covers(day) for closed in everywhere)]
    return open_days, {place: frozenset(dates) for place, dates in places.items()}
