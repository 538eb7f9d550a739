"""What changes to series come to, before anything is changed: many at once, the end result only."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from lessons.models import Lesson, Series
from lessons.planning.clashes import Clash, Visit
from lessons.planning.recurrence import CannotRepeat, SkippedDate, WeeklyRule, expand
from lessons.selectors.road import road_book, stop_of
from lessons.selectors.series import DateClash, all_in_the_way, visits_between
from lessons.selectors.series_change_parts import (
    ChangedDate,
    ChangePart,
    ChangesPlan,
    KeptLesson,
    SeriesChange,
)
from lessons.selectors.series_wish import SeriesWish, closed_for, reach, with_own_times
from studio.local_time import local_date, monday_of
from studio.models import Studio


def changes_plan(*, changes: Sequence[SeriesChange], studio: Studio, now: datetime) -> ChangesPlan:
    """Return what the changes come to in the calendar as it is now.

    Only the end is looked at: what makes way for one change is free for the others, and a lesson
    that stays where it is needs no new leave to be there.

    :raises CannotRepeat: if a rule makes no lessons, or begins before its change
    """
    parts = [_matched(change, studio, now) for change in changes]
    gone = {each.lesson.pk for part in parts for each in part.dates if each.lesson}
    gone |= {lesson.pk for part in parts for lesson in part.ending}
    occurrences = [each.occurrence for part in parts for each in part.dates]
    if not occurrences:
        return ChangesPlan(tuple(parts))
    wanted = [
        Visit(each.occurrence.when, stop_of(part.change.wish.place), part.change.wish.names)
        for part in parts
        if part.change.wish is not None
        for each in part.dates
    ]
    booked = [visit for visit in visits_between(*reach(occurrences)) if visit.key not in gone]
    found = iter(all_in_the_way(wanted, booked, road_book(studio), studio))
    return ChangesPlan(tuple(_with_clashes(part, found) for part in parts))


def _with_clashes(part: ChangePart, found: Iterator[tuple[Clash, ...]]) -> ChangePart:
    wish = part.change.wish
    if wish is None:
        return part
    in_the_way = [
        DateClash(each.occurrence, clashing)
        for each in part.dates
        if (clashing := next(found)) and not each.is_as_before(wish)
    ]
    return replace(part, in_the_way=tuple(in_the_way))


def rule_from(
    series: Series,
    from_date: date,
    *,
    weekday: int | None = None,
    at: time | None = None,
    minutes: int | None = None,
    every_weeks: int | None = None,
    last_date: date | None = None,
    zone: ZoneInfo | None = None,
) -> WeeklyRule:
    """Return the series' rule from a day on, with what is given changed.

    A rhythm of every n weeks goes on from its original week; a new one begins with the first
    lesson that is left.

    :raises CannotRepeat: if no date is left
    """
    weeks = every_weeks or series.every_weeks
    day = series.first_date.weekday() if weekday is None else weekday
    last = last_date or series.last_date
    old = timedelta(weeks=series.every_weeks)
    monday = monday_of(series.first_date)
    first = monday + timedelta(days=day)
    while first < from_date:
        # With the first date from which both rhythms count.
        first += old if weeks == series.every_weeks else timedelta(weeks=1)
    if weeks != series.every_weeks:
        first = _first_week_with_a_lesson(series, first, last)
    if first > last:
        raise CannotRepeat(
            f"No lesson would be left between {from_date:%-d %B %Y} and {last:%-d %B %Y}.",
            field="last_date",
        )
    return WeeklyRule(
        first_date=first,
        last_date=last,
        at=at or series.at,
        minutes=minutes or series.minutes,
        zone=zone or ZoneInfo(series.zone_name),
        every_weeks=weeks,
    )


def _first_week_with_a_lesson(series: Series, first: date, last: date) -> date:
    start = monday_of(series.first_date)
    for n in range(series.every_weeks):
        later = first + timedelta(weeks=n)
        if (monday_of(later) - start).days // 7 % series.every_weeks == 0 and later <= last:
            return later
    return first


def _matched(change: SeriesChange, studio: Studio, now: datetime) -> ChangePart:
    """Lay the lessons there are beside the dates of the new rhythm, week by week."""
    lessons, before = _lessons_of(change, studio)
    if change.wish is None:
        ending = [each for each in lessons if _is_free(each, change, now)]
        return ChangePart(change, ending=tuple(ending))
    rule = change.wish.rule
    if rule.first_date < change.from_date:
        raise CannotRepeat("The first date is before the change begins.", field="first_date")
    kept: list[KeptLesson] = []
    free: dict[date, list[Lesson]] = defaultdict(list)
    settled = dict(before)
    this_week = monday_of(change.from_date)
    is_day_over = this_week + timedelta(days=rule.first_date.weekday()) < change.from_date
    for lesson in lessons:
        monday = monday_of(_rule_day(lesson, studio))
        words = "" if _is_free(lesson, change, now) else _stays_words(lesson, studio, now)
        if not words and monday == this_week and is_day_over:
            words = "stays as it is: the new weekday of this week is before the change"
        if words:
            kept.append(KeptLesson(lesson, words))
            settled[monday] = f"the lesson of this week {words}"
        else:
            free[monday].append(lesson)
    return _laid_out(change, change.wish, settled, free, kept, now)


def _laid_out(
    change: SeriesChange,
    wish: SeriesWish,
    settled: dict[date, str],
    free: dict[date, list[Lesson]],
    kept: list[KeptLesson],
    now: datetime,
) -> ChangePart:
    expansion = expand(wish.rule, closed_for(wish))
    skipped = list(expansion.skipped)
    open_dates = [each for each in expansion.occurrences if each.day not in wish.left_out]
    skipped += [
        SkippedDate(each.day, "left out by you")
        for each in expansion.occurrences
        if each.day in wish.left_out
    ]
    dates: list[ChangedDate] = []
    for occurrence in with_own_times(open_dates, wish):
        monday = monday_of(occurrence.day)
        if monday in settled:
            skipped.append(SkippedDate(occurrence.day, settled[monday]))
        elif occurrence.when.start <= now:
            skipped.append(SkippedDate(occurrence.day, "that time is past"))
        else:
            here = free[monday]
            dates.append(ChangedDate(occurrence, here.pop(0) if here else None))
    ending = sorted((each for rest in free.values() for each in rest), key=_by_time)
    return ChangePart(
        change,
        tuple(dates),
        tuple(ending),
        tuple(kept),
        tuple(sorted(skipped, key=lambda skip: skip.day)),
    )


def _by_time(lesson: Lesson) -> tuple[datetime, int]:
    return lesson.starts_at, lesson.pk


def _lessons_of(change: SeriesChange, studio: Studio) -> tuple[list[Lesson], dict[date, str]]:
    """The lessons from the day on, and what settles the week in which the change begins."""
    if change.series is None:
        return [], {}
    rows = Lesson.objects.filter(series=change.series).with_people().in_order()
    after: list[Lesson] = []
    before: dict[date, str] = {}
    for lesson in rows:
        day = _rule_day(lesson, studio)
        if change.wish is None:
            day = local_date(lesson.starts_at, studio.zone)
        if day >= change.from_date:
            after.append(lesson)
        elif monday_of(day) == monday_of(change.from_date):
            before[monday_of(day)] = f"the lesson of this week is on {day:%A %-d %B}, before that"
    return after, before


def _rule_day(lesson: Lesson, studio: Studio) -> date:
    """The date of the rule that a lesson stands for."""
    return local_date(lesson.moved_from or lesson.starts_at, studio.zone)


def _is_free(lesson: Lesson, change: SeriesChange, now: datetime) -> bool:
    """True for a lesson that goes along with its series."""
    if not lesson.is_planned or lesson.starts_at <= now:
        return False
    return change.wish is None or change.moves_apart or not is_apart(lesson, change.series)


def is_apart(lesson: Lesson, series: Series | None) -> bool:
    """Return True for a lesson that was moved or changed by itself."""
    if series is None or lesson.moved_from is not None:
        return series is not None
    return lesson.minutes != series.minutes or lesson.place_id != series.place_id


def _stays_words(lesson: Lesson, studio: Studio, now: datetime) -> str:
    at = f"{lesson.starts_at.astimezone(studio.zone):%A %-d %B, %H:%M}"
    if lesson.is_called_off:
        return "is called off and stays so"
    if lesson.is_done or lesson.starts_at <= now:
        return f"was on {at}: the past never changes"
    if lesson.moved_from is not None:
        return f"was moved by itself to {at} and stays there"
    return f"on {at} has a length or place of its own and stays"
