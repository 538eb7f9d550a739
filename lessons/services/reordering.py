"""Taking over a day's new order, for those who agreed."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime

from lessons.models import Lesson
from lessons.selectors.day_order import answered
from lessons.selectors.ordering import day_question
from lessons.services.booking import LessonClash, NothingToBook, PlanChanged, calendar_held
from lessons.services.retiming import lessons_retime
from studio.models import Studio, User


def day_reorder(
    *,
    day: date,
    agreed: Collection[int],
    staying: Collection[int],
    seal: str,
    by: User,
    now: datetime,
    is_family_told: bool = False,
) -> list[Lesson]:
    """Move the lessons of a day whose families all agreed to the proposed order.

    The order is looked for before the calendar is held, and only used if the day is still the same.

    :param agreed: numbers of the families that said yes
    :param staying: numbers of lessons that the teacher left where they are
    :param seal: what the page showed
    :raises PlanChanged: if the day is another by now
    :raises NothingToBook: if nobody agreed
    :raises LessonClash: if those alone cannot move without the others
    """
    studio = Studio.current()
    changed = PlanChanged("The day changed while you were looking. Nothing was moved.")
    question = day_question(day=day, studio=studio, now=now, staying=staying)
    if question.seal != seal:
        raise changed
    proposal = answered(question)
    families = set(agreed)
    rows = [
        row
        for row in proposal.moved
        if row.visit.families and {family.pk for family in row.visit.families} <= families
    ]
    if not rows:
        raise NothingToBook("Nobody is ticked whose lesson would move. Nothing was moved.")
    times = {row.visit.key: row.starts_at(studio.zone) for row in rows}
    with calendar_held():
        if day_question(day=day, studio=studio, now=now, staying=staying).seal != seal:
            raise changed
        try:
            return lessons_retime(
                times=times,
                by=by,
                now=now,
                studio=studio,
                is_family_told=is_family_told,
                why="the day was re-ordered",
            )
        except LessonClash as clash:
            if len(rows) == len(proposal.moved):
                raise
            others = ", ".join(row.visit.label for row in proposal.moved if row not in rows)
            message = f"{clash} That is because {others} would stay: ask them as well."
            raise LessonClash(clash.clashes, message) from clash
