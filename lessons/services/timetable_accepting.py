"""Accepting a built timetable, whole or in part: one transaction, or nothing at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from lessons.models import DraftLesson, Series, TimetableDraft
from lessons.planning.recurrence import CannotRepeat
from lessons.selectors.term_seals import changed_words, term_seals
from lessons.selectors.timetable_parts import PartCheck, draft_rows, part_check
from lessons.selectors.timetable_words import was_words
from lessons.services.booking import LessonClash, NothingToBook, calendar_held
from lessons.services.mail_timetable import tell_timetable
from lessons.services.series_changing import series_replace_many
from studio.events import event_record
from studio.local_time import local_date
from studio.models import Studio, User


class WeekChanged(Exception):
    """What the draft rests on is no longer so; ``changes`` says what, nothing was changed."""

    def __init__(self, changes: Sequence[str]) -> None:
        super().__init__(
            "Nothing was changed: since this timetable was built, "
            f"{' and '.join(changes)}. Build it again; what you accepted already stays fixed."
        )
        self.changes = tuple(changes)


class PartRefused(Exception):
    """The part does not stand by itself; ``reasons`` say what is in the way."""

    def __init__(self, reasons: Sequence[str]) -> None:
        super().__init__("Nothing was changed. " + " ".join(reasons))
        self.reasons = tuple(reasons)


@dataclass(frozen=True, slots=True)
class Accepted:
    """What came of it: rows that stay, rows booked, lessons in them, messages queued."""

    stays: int
    booked: int
    lessons: int
    messages: int


def timetable_accept(
    *,
    draft: TimetableDraft,
    plan: str,
    ticked: frozenset[int],
    from_date: date,
    by: User,
    now: datetime,
    are_families_told: bool = False,
) -> Accepted:
    """Put the ticked rows of a plan into the calendar from a day of its term on.

    Lessons that make way are moved to the new time of their week and keep what hangs on them; a
    lesson that was moved by itself keeps its own time. A repeated press changes nothing.

    :raises WeekChanged: if lessons, wishes, hours or roads are not what they were
    :raises PartRefused: if the part clashes with what would stay, or another plan was begun
    """
    studio = Studio.current()
    with calendar_held():
        draft = TimetableDraft.objects.select_for_update(of=("self",)).get(pk=draft.pk)
        rows = draft_rows(draft, plan)
        ticked &= {row.pk for row in rows if row.confirmed_at is None}
        if not ticked:
            return Accepted(0, 0, 0, 0)
        _refuse_unfit(draft, plan, from_date, studio, now)
        check = part_check(
            draft=draft, rows=rows, ticked=ticked, from_date=from_date, studio=studio, now=now
        )
        if check.refusals:
            raise PartRefused(check.refusals)
        told = 0
        for row in check.rows:
            # From here on the present lesson may be the new one: what it was is written down.
            row.was = was_words(row)
        lessons = _apply(check, by, now)
        draft.chosen = plan
        draft.seals = term_seals(term=draft.term, from_date=draft.from_date, studio=studio)
        draft.save(update_fields=["chosen", "seals"])
        event = event_record(
            kind="timetable_accepted",
            subject=str(draft),
            by=by,
            now=now,
            draft=draft.pk,
            plan=plan,
            stays=len(check.stays),
            booked=len(check.changes),
            from_date=from_date.isoformat(),
        )
        if are_families_told:
            told = tell_timetable(changes=check.changes, event=event, studio=studio, now=now)
    return Accepted(len(check.stays), len(check.changes), lessons, told)


def timetable_loosen(*, draft: TimetableDraft) -> int:
    """Let what was accepted from the drafts of this term move again; return how many lessons."""
    rows = DraftLesson.objects.filter(draft__term=draft.term_id, confirmed_at__isnull=False)
    return rows.update(confirmed_at=None, confirmed_series=None)


def _refuse_unfit(
    draft: TimetableDraft, plan: str, from_date: date, studio: Studio, now: datetime
) -> None:
    if draft.chosen and draft.chosen != plan:
        raise PartRefused(
            [f"You began to accept “{draft.get_chosen_display()}”: the others no longer fit."]
        )
    today = local_date(now, studio.zone)
    if not max(draft.from_date, today) <= from_date <= draft.term.last_date:
        raise PartRefused(
            [
                f"Choose a day from {max(draft.from_date, today):%-d %B %Y} to "
                f"{draft.term.last_date:%-d %B %Y}."
            ]
        )
    seals = term_seals(term=draft.term, from_date=draft.from_date, studio=studio)
    changes = changed_words(draft.seals, seals)
    if changes:
        raise WeekChanged(changes)


def _apply(check: PartCheck, by: User, now: datetime) -> int:
    """Change, begin and keep what the part says; return how many lessons have a new time."""
    for row in check.stays:
        _confirm(row, row.series, now)
    if not check.changes:
        return 0
    changes = [change.change for change in check.changes]
    try:
        booked = series_replace_many(changes, by=by, now=now)
    except (LessonClash, NothingToBook, CannotRepeat) as no:
        raise PartRefused([str(no)]) from no
    for change, series in zip(check.changes, booked, strict=True):
        _confirm(change.row, series, now)
    return sum(len(change.to_book) for change in check.changes)


def _confirm(row: DraftLesson, series: Series | None, now: datetime) -> None:
    row.confirmed_at, row.confirmed_series = now, series
    row.save(update_fields=["confirmed_at", "confirmed_series", "was"])
