"""Asking for a term's timetable."""

from __future__ import annotations

from datetime import date, datetime
from importlib.util import find_spec

from lessons.models import Term
from lessons.selectors.term_rows import term_rows
from studio.long_work import work_start
from studio.models import LongWork, User

KIND = "term timetable"


class NothingToPlace(Exception):
    """Nobody has told any times, so there is nothing to build."""


def timetable_ask(*, term: Term, from_date: date, by: User, now: datetime) -> LongWork:
    """Have a timetable built; the same term is not built twice at once.

    :raises NothingToPlace: if no student has told times, or the term has no days left
    """
    under_way = [work for work in works_under_way(by) if work.parameters.get("term") == term.pk]
    if under_way:
        return under_way[0]
    if from_date > term.last_date:
        raise NothingToPlace(f"{term} has no week left. Choose a term that goes on.")
    if not term_rows(term=term, from_date=from_date).wanted:
        raise NothingToPlace("Nobody has told any times yet. Write down when somebody can come.")
    return work_start(
        kind=KIND,
        title=f"Timetable for {term}",
        parameters={"term": term.pk, "from_date": from_date.isoformat(), "by": by.pk},
        by=by,
        now=now,
    )


def works_under_way(by: User) -> list[LongWork]:
    """Return the timetables that are being built for this person."""
    works = LongWork.objects.visible_to(by).active().filter(kind=KIND)
    return list(works.in_turn())


def has_solver() -> bool:
    """Return True if the solver is installed; looked for without loading it."""
    return find_spec("ortools") is not None
