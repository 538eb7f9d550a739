"""A day on paper, as words: when to leave, where to, who is there, whom to ring."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import prefetch_related_objects

from lessons.models import Lesson, LessonKind
from lessons.planning.travel import Road
from lessons.selectors.days import DayAppointment, DayItem, DayPlan, DayStop
from studio.models import Place, Studio


@dataclass(frozen=True, slots=True)
class SheetWay:
    """The road to the next door; ``leave_by`` may be empty."""

    leave_by: str
    words: str
    is_tight: bool = False


@dataclass(frozen=True, slots=True)
class SheetVisit:
    """A lesson or an appointment: times, who, where, whom to ring."""

    starts: str
    ends: str
    title: str
    kind: str
    place: str
    address: str
    phones: tuple[str, ...]
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DaySheet:
    """Everything the sheet shows, in order."""

    studio_name: str
    paper: str
    title: str
    summary: str
    cautions: tuple[str, ...]
    entries: tuple[SheetWay | SheetVisit, ...]
    foot: str


def day_sheet(*, plan: DayPlan, studio: Studio) -> DaySheet:
    """Write a day down for the sheet: three queries besides the plan."""
    lessons = [stop.lesson for stop in plan.stops]
    prefetch_related_objects(lessons, "takers__student__family__adults", "school")
    entries: list[SheetWay | SheetVisit] = []
    for item in plan.items:
        way = _way(item, studio.zone)
        if way is not None:
            entries.append(way)
        if isinstance(item, DayStop):
            entries.append(_lesson(item.lesson, studio.zone))
        else:
            entries.append(_appointment(item, studio.zone))
    if plan.road_home is not None and plan.road_home.minutes:
        entries.append(SheetWay("", f"Then {_road_words(plan.road_home)} back to {plan.ends_at}"))
    closed = [f"Closed: {name}." for name in plan.closed]
    return DaySheet(
        studio_name=studio.name,
        paper=studio.paper,
        title=_date(plan.day),
        summary=_summary(plan),
        cautions=(*closed, *plan.cautions),
        entries=tuple(entries),
        foot="Driving times are estimates: leave earlier in rain and at school time.",
    )


def hours_and_minutes(minutes: int) -> str:
    """Write minutes as people say them."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def _summary(plan: DayPlan) -> str:
    if not plan.items:
        return "No lessons."
    lessons = "1 lesson" if plan.lesson_count == 1 else f"{plan.lesson_count} lessons"
    unknown = " and a road not known" if plan.has_unknown_road else ""
    return (
        f"{lessons}, {hours_and_minutes(plan.teaching_minutes)} of teaching, "
        f"{hours_and_minutes(plan.driving_minutes)} on the road{unknown}."
    )


def _way(item: DayItem, zone: ZoneInfo) -> SheetWay | None:
    if item.is_same_place:
        return None
    if not item.road.is_known:
        return SheetWay("", f"From {item.road_from}: distance unknown", is_tight=True)
    words = f"{_road_words(item.road)} from {item.road_from}"
    if item.is_late:
        gap = hours_and_minutes(max(0, item.gap_minutes or 0))
        return SheetWay("", f"{words}. Too tight: only {gap} between", is_tight=True)
    return SheetWay(_clock(item.leave_by, zone) if item.leave_by else "", words)


def _road_words(road: Road) -> str:
    minutes = hours_and_minutes(road.minutes or 0)
    return minutes if road.km is None else f"{minutes}, {road.km:.1f} km"


def _lesson(lesson: Lesson, zone: ZoneInfo) -> SheetVisit:
    students = [taker.student for taker in lesson.takers.all()]
    families = {student.family_id: student.family for student in students}.values()
    phones = [
        _phone(adult.phone, adult.name)
        for family in families
        for adult in sorted(family.adults.all(), key=lambda adult: adult.pk)
        if adult.phone
    ]
    if lesson.school is not None and lesson.school.phone:
        contact = lesson.school.contact_name or lesson.school.name
        phones.append(_phone(lesson.school.phone, contact))
    kind = "" if lesson.kind == LessonKind.LESSON else lesson.get_kind_display().lower()
    return SheetVisit(
        starts=_clock(lesson.starts_at, zone),
        ends=_clock(lesson.ends_at, zone),
        title=lesson.names or "A lesson",
        kind=kind,
        place=lesson.place.name,
        address=_one_line(lesson.place),
        phones=tuple(phones),
        people=tuple(student.name for student in students),
    )


def _appointment(item: DayAppointment, zone: ZoneInfo) -> SheetVisit:
    place = item.time.place
    return SheetVisit(
        starts=_clock(item.time.starts_at, zone),
        ends=_clock(item.time.ends_at, zone),
        title=item.time.label,
        kind="your own",
        place=place.name if place else "",
        address=_one_line(place) if place else "",
        phones=(),
        people=(),
    )


def _phone(number: str, name: str) -> str:
    """The number first, never broken over two lines: it is what one looks for in the car."""
    return "\u00a0".join(number.split()) + f" {name}"


def _one_line(place: Place) -> str:
    lines = (line.strip(" ,") for line in place.address.splitlines())
    return ", ".join(line for line in lines if line)


def _clock(moment: datetime, zone: ZoneInfo) -> str:
    return f"{moment.astimezone(zone):%H:%M}"


def _date(day: date) -> str:
    return f"{day:%A %-d %B %Y}"
