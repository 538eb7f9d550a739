"""What the pages of a term's timetable show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from lessons.models import DraftLesson, PlanChoice, Series, TeachingLimits, TimetableDraft
from lessons.models.calendar import WEEKDAYS
from lessons.planning.week_lanes import (
    Block,
    Lane,
    Mark,
    WeekFigures,
    edges,
    week_figures,
    week_lanes,
)
from lessons.selectors.booked import minute_of
from lessons.selectors.road import road_book
from lessons.selectors.term_rows import FixedLesson, TermRows, term_rows
from lessons.selectors.term_seals import changed_words, term_seals
from lessons.selectors.term_ways import TermWays, term_ways
from lessons.selectors.timetable_parts import draft_rows
from lessons.selectors.timetable_words import was_words
from studio.local_time import monday_of
from studio.models import Studio


@dataclass(frozen=True, slots=True)
class ShownPlan:
    """One of the three timetables with its figures."""

    key: str
    label: str
    figures: dict[str, Any]
    is_shown: bool


@dataclass(frozen=True, slots=True)
class ShownRow:
    """A lesson of the plan in words: from where to where, and what becomes of it."""

    row: DraftLesson
    mark: Mark
    was: str

    @property
    def is_confirmed(self) -> bool:
        """True once it is accepted."""
        return self.row.confirmed_at is not None


@dataclass(frozen=True, slots=True)
class ShownDay:
    """One weekday: its lane, and its lessons in order of time."""

    name: str
    lane: Lane
    rows: tuple[ShownRow, ...]
    fixed: tuple[FixedLesson, ...]

    @property
    def lines(self) -> list[ShownRow | FixedLesson]:
        """Everybody who comes that day, in order of time."""
        timed: list[tuple[int, str, ShownRow | FixedLesson]] = [
            (each.row.start, each.row.student.name, each) for each in self.rows
        ]
        timed += [(minute_of(each.series.at), each.label, each) for each in self.fixed]
        return [each for _, _, each in sorted(timed, key=lambda one: one[:2])]


@dataclass(frozen=True, slots=True)
class DraftPage:
    """Everything that the page of a draft shows."""

    draft: TimetableDraft
    plans: tuple[ShownPlan, ...]
    shown: ShownPlan
    days: tuple[ShownDay, ...]
    hours: tuple[int, ...]
    rows: tuple[ShownRow, ...]
    now: WeekFigures
    then: WeekFigures
    fixed: tuple[FixedLesson, ...]
    no_times: tuple[Any, ...]
    changed: tuple[str, ...]

    @property
    def changing(self) -> tuple[ShownRow, ...]:
        """Those whose time, place or length changes, and the new ones."""
        return tuple(each for each in self.rows if each.mark in ("changes", "new"))

    @property
    def staying(self) -> tuple[ShownRow, ...]:
        """Those that stay as they are."""
        return tuple(each for each in self.rows if each.mark == "stays")

    @property
    def open_count(self) -> int:
        """How many lessons of the plan wait to be accepted."""
        return sum(not each.is_confirmed for each in self.rows)

    @property
    def confirmed_count(self) -> int:
        """How many are accepted."""
        return len(self.rows) - self.open_count


def from_date_for(first_date: date, today: date) -> date:
    """Return the first day that a timetable can hold from: a Monday, or the term's first day."""
    return max(first_date, monday_of(today) + timedelta(weeks=1))


def draft_page(*, draft: TimetableDraft, plan: str, studio: Studio) -> DraftPage:
    """Return a draft as it is shown, one of its plans beside the present timetable."""
    entering = term_rows(term=draft.term, from_date=draft.from_date)
    rows = draft_rows(draft, plan)
    shown = tuple(ShownRow(row, _mark(row), was_words(row)) for row in rows)
    drafted = {row.confirmed_series_id or row.series_id for row in rows}
    fixed = tuple(each for each in entering.fixed if each.series.pk not in drafted)
    places = [row.place for row in rows] + [each.series.place for each in fixed]
    present = {row.series.pk: row.series for row in rows if row.series is not None}
    places += [series.place for series in present.values()]
    ways = term_ways(places, road_book(studio), buffer=TeachingLimits.current().buffer_minutes)
    staying = [_fixed_block(each, ways) for each in fixed]
    now = [*staying, *(_present_block(each, ways) for each in shown if _has_present(each))]
    then = [*staying, *(_block(each, ways) for each in shown)]
    lanes = week_lanes(now, then, ways.ways)
    left, right = edges([*now, *then])
    plans = tuple(
        ShownPlan(key, str(label), draft.figures(key), key == plan)
        for key, label in PlanChoice.choices
        if draft.figures(key)
    )
    return DraftPage(
        draft=draft,
        plans=plans,
        shown=next(each for each in plans if each.is_shown),
        days=tuple(_day(lane, shown, fixed) for lane in lanes),
        hours=tuple(range(left // 60, right // 60)),
        rows=shown,
        now=week_figures(now, ways.ways, ways.ends),
        then=week_figures(then, ways.ways, ways.ends),
        fixed=fixed,
        no_times=entering.no_times,
        changed=changed_words(
            draft.seals, term_seals(term=draft.term, from_date=draft.from_date, studio=studio)
        ),
    )


def unknown_roads(entering: TermRows, studio: Studio) -> tuple[str, ...]:
    """Return the places whose roads are not known, by name."""
    places = [wanted.place for wanted in entering.wanted]
    places += [fixed.series.place for fixed in entering.fixed]
    return term_ways(places, road_book(studio)).unknown


def _day(lane: Lane, rows: Sequence[ShownRow], fixed: Sequence[FixedLesson]) -> ShownDay:
    return ShownDay(
        name=dict(WEEKDAYS)[lane.weekday],
        lane=lane,
        rows=tuple(each for each in rows if each.row.weekday == lane.weekday),
        fixed=tuple(each for each in fixed if each.series.first_date.weekday() == lane.weekday),
    )


def _mark(row: DraftLesson) -> Mark:
    if was_words(row):
        return "changes"
    return "new" if row.series is None else "stays"


def _has_present(each: ShownRow) -> bool:
    return (each.row.confirmed_series or each.row.series) is not None


def _drawn(each: ShownRow) -> Mark:
    """What was accepted is part of the present week by now."""
    return "stays" if each.is_confirmed else each.mark


def _block(each: ShownRow, ways: TermWays) -> Block:
    row = each.row
    return Block(
        row.weekday, row.start, row.minutes, ways.key(row.place), row.student.name, _drawn(each)
    )


def _present_block(each: ShownRow, ways: TermWays) -> Block:
    series = each.row.confirmed_series or each.row.series
    assert series is not None  # noqa: S101 - only those with a present lesson come here
    return _series_block(series, each.row.student.name, _drawn(each), ways)


def _fixed_block(fixed: FixedLesson, ways: TermWays) -> Block:
    return _series_block(fixed.series, fixed.label, "fixed", ways)


def _series_block(series: Series, label: str, mark: Mark, ways: TermWays) -> Block:
    return Block(
        series.first_date.weekday(),
        minute_of(series.at),
        series.minutes,
        ways.key(series.place),
        label,
        mark,
    )
