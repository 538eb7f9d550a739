"""A day and a week as the teacher drives them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from lessons.models import Closure, DayRule, Lesson, LessonStatus, TeachingLimits
from lessons.planning.openings import Busy, Meal, has_meal
from lessons.planning.travel import Road
from lessons.selectors.appointments import AppointmentTime, appointments_on
from lessons.selectors.booked import meal_of, minute_of, place_key, ways_between
from lessons.selectors.day_roads import DayRoads, Leg, Taken
from lessons.selectors.road import road_book, stop_of
from studio.local_time import day_bounds, local_date
from studio.models import Student, Studio

# A gap longer than this is drawn as free time of its own: common practice, no source.
FREE_GAP_MINUTES = 45
# How far back an unmarked lesson is still pointed out.
NOT_FORGOTTEN = timedelta(days=45)


@dataclass(frozen=True, slots=True)
class DayItem:
    """Something in its day, with the road that leads to it."""

    leg: Leg

    @property
    def road(self) -> Road:
        """The road that leads to it."""
        return self.leg.road

    @property
    def road_from(self) -> str:
        """Where that road begins."""
        return self.leg.road_from

    @property
    def leave_by(self) -> datetime | None:
        """When to set off; None when there is no road, or it cannot be done."""
        return self.leg.leave_by

    @property
    def gap_minutes(self) -> int | None:
        """Minutes between it and what was before it."""
        return self.leg.gap_minutes

    @property
    def is_late(self) -> bool:
        """True when the road takes longer than there is time."""
        return self.leg.is_late

    @property
    def is_same_place(self) -> bool:
        """True when nobody drives anywhere for it."""
        return self.leg.is_same_place

    @property
    def free_minutes(self) -> int | None:
        """Minutes between the lessons that the road does not need, if they are worth a word."""
        if self.gap_minutes is None:
            return None
        free = self.gap_minutes - (self.road.minutes or 0)
        return free if free >= FREE_GAP_MINUTES else None


@dataclass(frozen=True, slots=True)
class DayStop(DayItem):
    """One lesson in its day."""

    lesson: Lesson
    overruled_reason: str


@dataclass(frozen=True, slots=True)
class DayAppointment(DayItem):
    """One private appointment in its day."""

    time: AppointmentTime


@dataclass(frozen=True, slots=True)
class DayPlan:
    """A local day: what is in it in order, the roads between, and what is called off."""

    day: date
    items: tuple[DayStop | DayAppointment, ...]
    called_off: tuple[Lesson, ...]
    road_home: Road | None
    ends_at: str
    closed: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def stops(self) -> tuple[DayStop, ...]:
        """The lessons of the day in order."""
        return tuple(item for item in self.items if isinstance(item, DayStop))

    @property
    def students(self) -> list[Student]:
        """Everybody who has a lesson that day; uses the prefetched rows."""
        return [taker.student for stop in self.stops for taker in stop.lesson.takers.all()]

    @property
    def lesson_count(self) -> int:
        """How many lessons take place."""
        return len(self.stops)

    @property
    def teaching_minutes(self) -> int:
        """Minutes of lessons."""
        return sum(stop.lesson.minutes for stop in self.stops)

    @property
    def driving_minutes(self) -> int:
        """Minutes on the road that are known, from the day's beginning to its end."""
        return sum(road.minutes or 0 for road in self._roads)

    @property
    def has_unknown_road(self) -> bool:
        """True when some road of the day is not known."""
        return any(not road.is_known for road in self._roads)

    @property
    def _roads(self) -> list[Road]:
        return [item.road for item in self.items] + ([self.road_home] if self.road_home else [])


def day_plan(*, day: date, studio: Studio) -> DayPlan:
    """Return one day."""
    return _days([day], studio)[0]


def not_marked_before(*, day: date, studio: Studio, most: int = 8) -> list[Lesson]:
    """Return lessons of the last weeks before the day that nobody has marked, latest first."""
    start, _ = day_bounds(day, studio.zone)
    lessons = Lesson.objects.filter(
        status=LessonStatus.PLANNED, starts_at__lt=start, starts_at__gte=start - NOT_FORGOTTEN
    )
    return list(lessons.with_people().order_by("-starts_at", "-pk")[:most])


def week_plan(*, monday: date, studio: Studio) -> tuple[DayPlan, ...]:
    """Return the seven days of a week."""
    return tuple(_days([monday + timedelta(days=n) for n in range(7)], studio))


def days_plan(
    *, days: Sequence[date], studio: Studio, lessons: Iterable[Lesson]
) -> tuple[DayPlan, ...]:
    """Return any days, given earliest first, with all their lessons, which are at hand in order."""
    return tuple(_days(days, studio, lessons)) if days else ()


def evenings_caution(plans: Sequence[DayPlan], studio: Studio) -> str:
    """Say when a week has more evenings than the teacher allows; empty when it has not."""
    limits = TeachingLimits.current()
    begins = limits.evening_begins_at
    evenings = 0
    for plan in plans:
        ends = [stop.lesson.ends_at.astimezone(studio.zone) for stop in plan.stops]
        evenings += any(end.time() > begins or end.date() > plan.day for end in ends)
    if evenings <= limits.most_evenings_a_week:
        return ""
    return (
        f"{evenings} evenings of this week have lessons after {begins:%H:%M}: "
        f"your limit is {limits.most_evenings_a_week}."
    )


def _days(
    days: Sequence[date], studio: Studio, lessons: Iterable[Lesson] | None = None
) -> list[DayPlan]:
    zone = studio.zone
    if lessons is None:
        lessons = Lesson.objects.on_days(days[0], days[-1], zone).with_people().in_order()
    by_day: dict[date, list[Lesson]] = defaultdict(list)
    for lesson in lessons:
        by_day[local_date(lesson.starts_at, zone)].append(lesson)
    private: dict[date, list[AppointmentTime]] = defaultdict(list)
    for each in appointments_on(days[0], days[-1], zone):
        private[each.day].append(each)
    closures = list(Closure.objects.touching(days[0], days[-1]).select_related("school").in_order())
    frame = _Frame(studio)
    return [
        frame.plan(
            day,
            by_day[day],
            private[day],
            tuple(_closure_words(row) for row in closures if row.closed_days().covers(day)),
        )
        for day in days
    ]


def _closure_words(row: Closure) -> str:
    return f"{row.name} ({row.school.name} only)" if row.school else row.name


class _Frame:
    """What every day of a page shares: the roads, the rules of the weekdays, the limits."""

    def __init__(self, studio: Studio) -> None:
        self.zone = studio.zone
        self.book = road_book(studio)
        rules = DayRule.objects.select_related("starts_from", "ends_at_place")
        self.rules = {rule.weekday: rule for rule in rules}
        self.limits = TeachingLimits.current()

    def plan(
        self,
        day: date,
        lessons: Sequence[Lesson],
        private: Sequence[AppointmentTime],
        closed: tuple[str, ...],
    ) -> DayPlan:
        """String the day's lessons and appointments along its roads."""
        rule = self.rules.get(day.weekday())
        roads = DayRoads(
            self.book,
            stop_of(rule.starts_from) if rule and rule.starts_from else None,
            stop_of(rule.ends_at_place) if rule and rule.ends_at_place else None,
            self.zone,
        )
        taken = [
            *(Taken(one.when, stop_of(one.place), one) for one in lessons if not one.is_called_off),
            *(Taken(each.when, each.stop, each) for each in private),
        ]
        taken.sort(key=lambda one: (one.when, isinstance(one.what, AppointmentTime)))
        items = self._items(taken, roads)
        return DayPlan(
            day=day,
            items=items,
            called_off=tuple(lesson for lesson in lessons if lesson.is_called_off),
            road_home=roads.home(),
            ends_at=roads.end_name,
            closed=closed,
            cautions=self._cautions(taken, rule),
        )

    def _items(
        self, taken: Sequence[Taken], roads: DayRoads
    ) -> tuple[DayStop | DayAppointment, ...]:
        items: list[DayStop | DayAppointment] = []
        before: Lesson | None = None
        for one in taken:
            leg = roads.lead_to(one)
            if isinstance(one.what, AppointmentTime):
                items.append(DayAppointment(leg, one.what))
                continue
            # Whichever of the two was booked later carries the teacher's reason.
            reason = one.what.road_overruled_reason or (
                before.road_overruled_reason if before else ""
            )
            items.append(DayStop(leg, one.what, reason if leg.is_late else ""))
            before = one.what
        return tuple(items)

    def _cautions(self, taken: Sequence[Taken], rule: DayRule | None) -> tuple[str, ...]:
        """What of the day's limits the day does not keep."""
        said = []
        lessons = [one for one in taken if isinstance(one.what, Lesson)]
        taught = sum(one.what.minutes for one in lessons if isinstance(one.what, Lesson))
        most = self.limits.most_minutes_a_day
        if taught > most:
            said.append(f"{taught} minutes of teaching: your limit is {most} a day.")
        meal = meal_of(rule)
        if meal is not None and lessons and not self._has_meal(taken, meal):
            begins, ends = (time(minute // 60, minute % 60) for minute in meal[:2])
            said.append(
                f"No {meal.minutes} minutes are left for the meal between "
                f"{begins:%H:%M} and {ends:%H:%M}."
            )
        return tuple(said)

    def _has_meal(self, taken: Sequence[Taken], meal: Meal) -> bool:
        ways, _ = ways_between((one.stop for one in taken), self.book, self.limits.buffer_minutes)
        schedule = [
            Busy(
                start := minute_of(one.when.start.astimezone(self.zone)),
                start + one.when.minutes,
                place_key(one.stop, self.book),
                "",
            )
            for one in taken
        ]
        return has_meal(tuple(schedule), meal, ways)
