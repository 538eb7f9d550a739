"""What accepting a part of a draft would come to, date by date, before anything is changed.

Every date of every new weekly lesson is held against the calendar as it would be: without the
lessons that make way, with everything that stays. What stays every week and is in the way refuses
the part; what stands there once (a lesson by itself, one that was moved) leaves that date out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from lessons.models import DraftLesson, Lesson, LessonRequest, TimetableDraft
from lessons.planning.clashes import Clash
from lessons.planning.recurrence import CannotRepeat, Occurrence, SkippedDate, WeeklyRule
from lessons.selectors.series_change_parts import ChangePart, ChangesPlan, SeriesChange
from lessons.selectors.series_changes import changes_plan
from lessons.selectors.series_wish import SeriesWish
from studio.models import Studio

# A new weekly lesson that would miss more of its dates than this is no weekly lesson.
MOST_LEFT_OUT = 0.5


@dataclass(frozen=True, slots=True)
class Change:
    """One row of the draft as it would be booked, with the dates left out and why."""

    row: DraftLesson
    change: SeriesChange
    rule: WeeklyRule
    to_book: tuple[Occurrence, ...]
    left_out: tuple[SkippedDate, ...]

    @property
    def rhythm(self) -> str:
        """How often, in words."""
        day = f"{self.rule.first_date:%A}"
        every = self.rule.every_weeks
        return f"every {day}" if every == 1 else f"{day}s, every {every} weeks"


@dataclass(frozen=True, slots=True)
class PartCheck:
    """What a part comes to; with ``refusals`` it cannot be accepted as it is.

    ``requests`` are what families asked about lessons that would move, not answered yet.
    """

    changes: tuple[Change, ...]
    stays: tuple[DraftLesson, ...]
    refusals: tuple[str, ...]
    requests: tuple[LessonRequest, ...] = ()

    @property
    def rows(self) -> tuple[DraftLesson, ...]:
        """Every row of the part."""
        return (*self.stays, *(change.row for change in self.changes))


def draft_rows(draft: TimetableDraft, plan: str) -> list[DraftLesson]:
    """Return a plan's rows in order of weekday and time, with people and present lessons."""
    rows = (
        DraftLesson.objects.filter(draft=draft, plan=plan)
        .select_related("student__family", "place", "series__place", "confirmed_series__place")
        .order_by("weekday", "at", "pk")
    )
    return list(rows)


def part_check(
    *,
    draft: TimetableDraft,
    rows: Sequence[DraftLesson],
    ticked: frozenset[int],
    from_date: date,
    studio: Studio,
    now: datetime,
) -> PartCheck:
    """Hold the ticked rows of a plan against the calendar from this day on.

    :param rows: all rows of the plan, so that what is in the way can be called by its name
    """
    chosen = [row for row in rows if row.pk in ticked and row.confirmed_at is None]
    stays = tuple(row for row in chosen if row.is_stay)
    moving = [row for row in chosen if not row.is_stay]
    if not moving:
        return PartCheck((), stays, ())
    changes = [_change(row, draft, from_date, studio) for row in moving]
    try:
        plan = changes_plan(changes=changes, studio=studio, now=now)
        once, refusals = _in_the_way(moving, plan, rows, ticked, draft, studio)
        if once:
            # Looked at again: a date that is left out leaves its old lesson without a new time.
            changes = [
                _without(change, once.get(row.pk, {}))
                for row, change in zip(moving, changes, strict=True)
            ]
            plan = changes_plan(changes=changes, studio=studio, now=now)
    except CannotRepeat as trouble:
        return PartCheck((), stays, (str(trouble),))
    done = tuple(
        _done(row, part, once.get(row.pk, {})) for row, part in zip(moving, plan.parts, strict=True)
    )
    refusals += [_too_thin(change.row) for change in done if _is_too_thin(change)]
    return PartCheck(done, stays, tuple(refusals), tuple(_asked(plan)))


def rule_of(row: DraftLesson, last_date: date, from_date: date, studio: Studio) -> WeeklyRule:
    """Return the dates of a row from a day on; every second week counts from its own first."""
    step = timedelta(weeks=row.every_weeks)
    first = row.first_date
    if first < from_date:
        first += -(-(from_date - first) // step) * step
    return WeeklyRule(first, last_date, row.at, row.minutes, studio.zone, row.every_weeks)


def _change(
    row: DraftLesson, draft: TimetableDraft, from_date: date, studio: Studio
) -> SeriesChange:
    wish = SeriesWish(
        students=(row.student,),
        place=row.place,
        rule=rule_of(row, draft.term.last_date, from_date, studio),
        term=draft.term,
    )
    return SeriesChange(from_date, row.series if row.is_running else None, wish)


def _without(change: SeriesChange, days: Mapping[date, str]) -> SeriesChange:
    if change.wish is None:
        return change
    return replace(change, wish=replace(change.wish, left_out=frozenset(days)))


def _done(row: DraftLesson, part: ChangePart, once: Mapping[date, str]) -> Change:
    assert part.change.wish is not None  # noqa: S101 - every row of a draft is a wish
    settled = [
        SkippedDate(skip.day, once.get(skip.day, skip.reason))
        for skip in part.skipped
        # Closures are the same for everybody and shown with the term.
        if skip.day in once or skip.reason.startswith("the lesson of this week")
    ]
    return Change(
        row=row,
        change=part.change,
        rule=part.change.wish.rule,
        to_book=tuple(each.occurrence for each in part.dates),
        left_out=tuple(settled),
    )


def _in_the_way(
    moving: Sequence[DraftLesson],
    plan: ChangesPlan,
    rows: Sequence[DraftLesson],
    ticked: frozenset[int],
    draft: TimetableDraft,
    studio: Studio,
) -> tuple[dict[int, dict[date, str]], list[str]]:
    """What stands in the way on single dates, by row, and what does so every week."""
    weekly = _weekly(plan)
    going = {row.series_id for row in rows if not row.is_stay and row.pk not in ticked}
    homeless = {each.get("series") for each in draft.unplaced}
    once: dict[int, dict[date, str]] = defaultdict(dict)
    refusals: dict[str, list[date]] = defaultdict(list)
    for row, part in zip(moving, plan.parts, strict=True):
        for found in part.in_the_way:
            day = found.occurrence.day
            for clash in found.clashes:
                series = weekly.get(clash.other.key or 0)
                if series is None:
                    once[row.pk][day] = f"{clash.other.label} is there that day"
                else:
                    refusals[_refusal(row, clash, series, going, homeless, studio)].append(day)
    return once, [_with_dates(text, days) for text, days in refusals.items()]


def _weekly(plan: ChangesPlan) -> dict[int, int]:
    """Of the lessons in the way, those that stand there every week: with their series."""
    keys = {
        clash.other.key
        for part in plan.parts
        for found in part.in_the_way
        for clash in found.clashes
        if clash.other.key is not None
    }
    rows = Lesson.objects.filter(pk__in=keys, series__isnull=False, moved_from=None)
    return dict(rows.values_list("pk", "series_id"))


def _asked(plan: ChangesPlan) -> Iterable[LessonRequest]:
    moving = [each.lesson.pk for part in plan.parts for each in part.dates if each.lesson]
    moving += [lesson.pk for part in plan.parts for lesson in part.ending]
    asked = LessonRequest.objects.standing().with_people().filter(lesson__in=moving)
    return asked.order_by("asked_at", "pk")


def _is_too_thin(change: Change) -> bool:
    dates = len(change.to_book) + len(change.left_out)
    return not change.to_book or len(change.left_out) > MOST_LEFT_OUT * dates


def _too_thin(row: DraftLesson) -> str:
    return (
        f"{row.student.name} on {row.get_weekday_display()}s at {row.at:%H:%M} would miss more "
        "than half of the dates. Build the timetable again."
    )


def _refusal(
    row: DraftLesson,
    clash: Clash,
    series: int,
    going: set[int | None],
    homeless: set[int | None],
    studio: Studio,
) -> str:
    """What is in the way every week, and what would help.

    :param going: the weekly lessons that the plan moves although they are not ticked
    :param homeless: those of students for whom the plan has no place
    """
    start = clash.other.when.start.astimezone(studio.zone)
    other = clash.other.label
    mine = f"{row.student.name} on {row.get_weekday_display()}s at {row.at:%H:%M}"
    meets = (
        f"{mine} would meet {other}, who is there at {start:%H:%M}"
        if clash.kind == "overlap"
        else f"{mine}: {clash.words}"
    )
    if series in going:
        return f"{meets}. Tick {other} too, or leave {row.student.name} out"
    if series in homeless:
        return (
            f"{meets} and has no place in this timetable. End that weekly lesson and build the "
            f"term again, or leave {row.student.name} out"
        )
    return meets


def _with_dates(text: str, days: Sequence[date]) -> str:
    return f"{text} ({len(days)} date{'s' if len(days) != 1 else ''}, first {days[0]:%-d %B})."
