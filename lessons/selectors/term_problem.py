"""A term as the planner sees it, made from its rows: lessons, days, roads."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from lessons.models import Appointment, Series
from lessons.planning.openings import Busy, Span, has_meal
from lessons.planning.term.problem import Day, Job, Meal, Start, TermProblem
from lessons.planning.travel import UNKNOWN_ROAD_MINUTES
from lessons.selectors.booked import minute_of
from lessons.selectors.road import road_book
from lessons.selectors.term_rows import FixedLesson, TermRows, WantedLesson
from lessons.selectors.term_starts import starts_of
from lessons.selectors.term_ways import TermWays, term_ways
from studio.local_time import monday_of
from studio.models import Place, Studio

NOWHERE = -1
# An appointment that takes more than this share of a weekday's dates keeps its time free all term;
# a rarer one costs a lesson its date only.
REGULAR = 0.25


@dataclass(frozen=True, slots=True)
class TermCase:
    """The question for the planner, and what its keys stand for."""

    rows: TermRows
    problem: TermProblem
    wanted: Mapping[str, WantedLesson]
    week_of: date

    @property
    def lessons(self) -> int:
        """How many lessons want a time."""
        return len(self.wanted)


def term_case(*, rows: TermRows, studio: Studio) -> TermCase:
    """Return the question: everything that goes in, as the planner wants it."""
    appointments = _regular(rows)
    ways = term_ways(
        _places(rows, appointments), road_book(studio), buffer=rows.limits.buffer_minutes
    )
    wanted = {f"student-{each.student.pk}-{each.number}": each for each in rows.wanted}
    week_of = monday_of(rows.from_date)
    siblings = _siblings(wanted, ways)
    jobs = [
        _job(key, each, siblings.get(key, ""), rows, ways, week_of) for key, each in wanted.items()
    ]
    fixed = [_fixed_job(each, ways, week_of) for each in rows.fixed]
    fixed += [_appointment_job(each, ways) for each in appointments if each.place is not None]
    roads = _roads([*jobs, *fixed], ways)
    ways = replace(ways, ways=replace(ways.ways, minutes=roads))
    settled, cut = _settled(fixed, ways)
    cut += [
        (each.first_date.weekday(), (each.rule().begins, each.rule().ends))
        for each in appointments
        if each.place is None
    ]
    evening = minute_of(rows.limits.evening_begins_at) or 24 * 60
    late = {job.present.weekday for job in settled if _end(job) > evening and job.present}
    problem = TermProblem(
        jobs=(*jobs, *settled),
        days=tuple(_days(rows, ways, settled, cut)),
        roads=roads,
        buffer=rows.limits.buffer_minutes,
        evening_begins=evening,
        # What is settled stays, also where it is more than the limit.
        most_evenings=max(rows.limits.most_evenings_a_week, len(late)),
    )
    return TermCase(rows, problem, wanted, week_of)


def _places(rows: TermRows, appointments: Sequence[Appointment]) -> list[Place]:
    places = [each.place for each in rows.wanted] + [each.series.place for each in rows.fixed]
    return places + [each.place for each in appointments if each.place is not None]


def _key(place: Place, ways: TermWays) -> int:
    """Where a lesson is. Online ones are planned at the base, where there surely is a desk."""
    if not place.is_online:
        return place.pk
    return NOWHERE if ways.ways.base is None else ways.ways.base


def _job(
    key: str,
    wanted: WantedLesson,
    siblings: str,
    rows: TermRows,
    ways: TermWays,
    week_of: date,
) -> Job:
    found = starts_of(wanted, rows.dates, week_of)
    return Job(
        key=key,
        names=(wanted.student.name,),
        minutes=wanted.minutes,
        place=_key(wanted.place, ways),
        starts=found.starts,
        preferred=found.preferred,
        every_weeks=wanted.every_weeks,
        week=found.week,
        present=_start_of(wanted.present) if wanted.present else None,
        siblings=siblings,
        student=f"student-{wanted.student.pk}",
        # So many days lie between: the lessons are one day more apart.
        least_days_between=wanted.least_days_between + 1,
        note=found.note,
    )


def _fixed_job(fixed: FixedLesson, ways: TermWays, week_of: date) -> Job:
    series = fixed.series
    present = _start_of(series)
    people = [student.pk for student in series.students.all()]
    weeks = (monday_of(series.first_date) - week_of).days // 7
    return Job(
        key=f"series-{series.pk}",
        names=(fixed.label,),
        minutes=series.minutes,
        place=_key(series.place, ways),
        starts=(present,),
        every_weeks=series.every_weeks,
        week=weeks % series.every_weeks if series.every_weeks > 1 else None,
        present=present,
        is_fixed=True,
        student=f"student-{people[0]}" if len(people) == 1 else "",
    )


def _appointment_job(appointment: Appointment, ways: TermWays) -> Job:
    rule = appointment.rule()
    present = Start(appointment.first_date.weekday(), rule.begins)
    assert appointment.place is not None  # noqa: S101 - only those with a place come here
    return Job(
        key=f"appointment-{appointment.pk}",
        names=(appointment.label,),
        minutes=rule.ends - rule.begins,
        place=_key(appointment.place, ways),
        starts=(present,),
        present=present,
        is_fixed=True,
    )


def _start_of(series: Series) -> Start:
    return Start(series.first_date.weekday(), minute_of(series.at))


def _siblings(wanted: Mapping[str, WantedLesson], ways: TermWays) -> dict[str, str]:
    """Lessons of one family at one place, where all of them want to be back to back."""
    marks = {
        key: f"family-{each.student.family_id}-{_key(each.place, ways)}-{each.number}"
        for key, each in wanted.items()
        if each.is_with_siblings and each.every_weeks == 1
    }
    several = Counter(marks.values())
    return {key: mark for key, mark in marks.items() if several[mark] > 1}


def _regular(rows: TermRows) -> list[Appointment]:
    """The appointments that come again and again on the term's days."""
    if not rows.dates:
        return []
    first, last = rows.dates[0], rows.dates[-1]
    dates = Counter(day.weekday() for day in rows.dates)
    found = []
    for each in Appointment.objects.touching(first, last).select_related("place").in_order():
        days = each.rule().dates(first, last)
        if len(days) > max(1, REGULAR * dates[each.first_date.weekday()]):
            found.append(each)
    return found


def _settled(jobs: Iterable[Job], ways: TermWays) -> tuple[list[Job], list[tuple[int, Span]]]:
    """The settled stops that a day can hold one after another, and the times of the others.

    Two lessons of alternating weeks, or two that the teacher let be too near each other, cannot
    both be stops of one day: the time of the second is taken out of the hours instead.
    """
    kept: list[Job] = []
    cut: list[tuple[int, Span]] = []
    last: dict[int, Job] = {}
    seen: set[tuple[str, int]] = set()
    for job in sorted(jobs, key=lambda one: (one.present or Start(0, 0), one.key)):
        assert job.present is not None  # noqa: S101 - a settled lesson has its time
        weekday, start = job.present
        before = last.get(weekday)
        road = ways.ways.road(before.place, job.place) if before else 0
        need = road + ways.ways.buffer if road else 0
        if before is not None and _end(before) + need > start:
            cut.append((weekday, (start, _end(job))))
            continue
        last[weekday] = job
        # Somebody who comes twice on one day by agreement is not kept apart from themselves.
        is_again = bool(job.student) and (job.student, weekday) in seen
        seen.add((job.student, weekday))
        kept.append(replace(job, student="") if is_again else job)
    return kept, cut


def _end(job: Job) -> int:
    return (job.present.minute if job.present else 0) + job.minutes


def _days(
    rows: TermRows,
    ways: TermWays,
    settled: Sequence[Job],
    cut: Sequence[tuple[int, Span]],
) -> Iterable[Day]:
    """The days with hours, and those on which something settled is."""
    base = ways.ways.base
    for weekday in range(7):
        stops = [job for job in settled if job.present and job.present.weekday == weekday]
        spans = rows.hours.get(weekday, ())
        for day, taken in cut:
            if day == weekday:
                spans = _without(spans, taken)
        if spans or stops:
            ends = ways.ends.get(weekday) or (base, base)
            yield Day(
                weekday=weekday,
                spans=spans,
                most_minutes=_most_minutes(rows, stops),
                starts_from=ends[0],
                ends_at=ends[1],
                meal=_meal(ways, weekday, stops),
            )


def _most_minutes(rows: TermRows, stops: Sequence[Job]) -> int:
    """The day's limit; an appointment is a stop but no teaching, and what is settled stays."""
    private = sum(job.minutes for job in stops if job.key.startswith("appointment"))
    limit = rows.limits.most_minutes_a_day + private
    return max(limit, sum(job.minutes for job in stops))


def _meal(ways: TermWays, weekday: int, stops: Sequence[Job]) -> Meal | None:
    """The weekday's meal, unless what is settled leaves no room for it."""
    meal = ways.meals.get(weekday)
    if meal is None:
        return None
    day = tuple(
        Busy(job.present.minute, _end(job), job.place, job.name) for job in stops if job.present
    )
    if not has_meal(day, meal, ways.ways):
        return None
    return Meal(meal.begins, meal.ends, meal.minutes)


def _without(spans: Sequence[Span], taken: Span) -> tuple[Span, ...]:
    parts = []
    for start, end in spans:
        parts += [(start, min(end, taken[0])), (max(start, taken[1]), end)]
    return tuple((start, end) for start, end in parts if start < end)


def _roads(jobs: Iterable[Job], ways: TermWays) -> dict[tuple[int, int], int]:
    """Every pair of places; one that no road is known to is an hour from everywhere."""
    roads = dict(ways.ways.minutes)
    places = {job.place for job in jobs} | {place for pair in roads for place in pair}
    for here in places:
        for there in places:
            if here != there:
                roads.setdefault((here, there), UNKNOWN_ROAD_MINUTES)
    return roads
